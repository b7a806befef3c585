"""Where the bounds of a limit come from, as short as it can stand beside them.  Pure."""

FROM_MEMORY = " (from memory)"


def short_source(source: str, *, known: bool = True) -> str:
    """Return a source without what it says: "49 CFR 393.75(c) (from memory)".

    That it is from memory stays: who holds a machine by it has to know.  known: whether the limit
    has a bound at all; without one there is nothing that the source could be of.
    """
    head, _, said = source.strip().partition(": ")
    if not known or not head:
        return ""
    return head + (FROM_MEMORY if said.endswith(FROM_MEMORY.strip()) else "")
