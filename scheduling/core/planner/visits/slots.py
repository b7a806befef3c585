"""How a plan names one visit of a machine."""

Slot = tuple[int, int, int]
"""A visit in a plan: row of the machine's visits, first day, crew (a mechanic's index, mostly)."""
