"""How a class stands, in one line: "14 side-by-sides: 3 now, 8 after shop work, 3 away"."""

from collections import Counter
from collections.abc import Iterable

from scheduling.availability.answer import Availability
from scheduling.availability.objections import Cause
from scheduling.availability.three_answers import Answer

NOW, AFTER, AWAY, HELD = "now", "after shop work", "away", "held"
OF_CAUSE = {
    Cause.RETIRED: "retired",
    Cause.HELD: HELD,
    Cause.OUT: AWAY,
    Cause.PROMISED: AWAY,
    Cause.SHOP: "in the shop",
    Cause.UNKNOWN: "not known",
}
NEEDS_WORK = "to be serviced first"
ORDER = [NOW, AFTER, AWAY, HELD, "in the shop", NEEDS_WORK, "not known", "retired"]


def headline(name: str, said: str, answers: Iterable[Availability]) -> str:
    """Count the answers of a class in one sentence; said: the days."""
    counts = Counter(_group(one) for one in answers)
    total = sum(counts.values())
    groups = [f"{counts[group]} {group}" for group in ORDER if counts[group]]
    if not counts[NOW] + counts[AFTER]:
        groups.insert(0, "none may go")
    return f"{total} {several(name) if total != 1 else one_of(name)} {said}: {', '.join(groups)}."


def _group(one: Availability) -> str:
    if one.kind == Answer.MAY:
        return NOW
    if one.kind == Answer.AFTER_WORK:
        return AFTER
    return OF_CAUSE.get(one.against[0].cause, NEEDS_WORK)


def one_of(name: str) -> str:
    """Return a class's name within a sentence: "Skid steer" as "skid steer", "UTV" as it is."""
    return name[:1].lower() + name[1:] if name[1:] == name[1:].lower() else name


def several(name: str) -> str:
    """Return several of a class: "Lift" as "lifts", "Winch" as "winches", "Quads" as "quads"."""
    word = one_of(name)
    if word.endswith(("ch", "sh", "x", "z")):
        return f"{word}es"
    return word if word.endswith("s") else f"{word}s"
