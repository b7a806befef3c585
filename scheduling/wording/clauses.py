"""Clauses and sentences put together whole: what does not fit is left out, never cut in two."""

from collections.abc import Iterable, Sequence

CUT = " …"
"""What stands where there was no room for more."""

LISTED = 3
"""Names in one list; of more it is said how many."""


def as_sentence(clauses: Iterable[str], longest: int | None = None) -> str:
    """Return clauses as one sentence, as many as fit into so many characters; empty without any.

    The first clause has to begin with a word of ours and not with a name, which would change.
    """
    text = as_clauses(clauses, longest)
    return f"{text[:1].upper()}{text[1:]}"


def as_clauses(clauses: Iterable[str], longest: int | None = None) -> str:
    """Return what `as_sentence` returns, without the capital, to follow other words."""
    whole = [clause for clause in clauses if clause]
    text = "; ".join(whole)
    if longest is not None:
        text = fitted(whole, longest - 1, "; ")
    return f"{text}." if text and not text.endswith(CUT) else text


def fitted(parts: Sequence[str], longest: int, between: str = " ") -> str:
    """Return as many whole parts, in order, as fit into so many characters.

    A first part that is too long by itself is cut, as something is better than nothing.
    """
    whole = [part for part in parts if part]
    text = between.join(whole)
    if len(text) <= longest:
        return text
    room, count = longest - len(CUT), len(whole)
    while count > 1 and len(between.join(whole[:count])) > room:
        count -= 1
    return f"{between.join(whole[:count])[:room]}{CUT}"


def listed(names: Sequence[str]) -> str:
    """Return "a, b and c", or "a, b, c and 2 more"."""
    if len(names) > LISTED:
        return f"{', '.join(names[:LISTED])} and {len(names) - LISTED} more"
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))
