"""The demo fleet: an invented county whose machines are used, read and served by a simulation.

scenario reads fixtures/demo_fleet.json; roster names the machines; hires, use and shopwork are
the simulation (numpy alone, no database); the write_* modules turn it into facts.
"""
