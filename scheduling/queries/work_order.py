"""In which order a mechanic takes the machines of a day, and why each stands where it does.

Pure: values in, values out.  First what stands open in a bay; then what has just come in and whose
oil is to be drained, as long as it is warm; then overdue before due before clear, the machines of
a far yard together in one trip, and beside each other those that share a set-up (common practice).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

RANKS = ("held", "overdue", "due", "coming", "clear")
"""States, what presses most first; "coming" begins the word of what is coming due."""
WARM_FOR = timedelta(hours=3)
"""How long the oil of a machine that came in stays warm enough to drain well (our judgement)."""


@dataclass(frozen=True)
class WorkStop:
    """One machine of the day.  place: of the plan; yard: "" at the shop itself."""

    key: int
    tag: str
    place: int
    state: str = "clear"
    yard: str = ""
    open_in_bay: bool = False
    warm: bool = False
    set_ups: frozenset[str] = frozenset()

    @property
    def rank(self) -> int:
        """How much its state presses, 0 the most."""
        found = (n for n, state in enumerate(RANKS) if self.state.startswith(state))
        return next(found, len(RANKS))


@dataclass(frozen=True)
class OrderedStop:
    """A machine in the order of the day, with the reason in words; "" where the plan's stands."""

    stop: WorkStop
    why: str


def order_of_day(stops: Iterable[WorkStop]) -> list[OrderedStop]:
    """Return the machines of a day in the order in which they are taken."""
    stops = list(stops)
    trip = {
        yard: min(one.rank for one in stops if one.yard == yard)
        for yard in {one.yard for one in stops if one.yard}
    }

    def place(one: WorkStop) -> tuple[object, ...]:
        presses = trip.get(one.yard, one.rank)
        together = sorted(one.set_ups) or ["~"]
        return (
            not one.open_in_bay, not one.warm, presses, one.yard != "", one.yard, one.rank,
            together, one.place,
        )  # fmt: skip

    ordered = sorted(stops, key=place)
    return [OrderedStop(one, _why(one, ordered[:n], ordered)) for n, one in enumerate(ordered)]


def _why(one: WorkStop, before: Sequence[WorkStop], all_stops: Sequence[WorkStop]) -> str:
    if one.open_in_bay:
        return "it stands open in the bay"
    if one.warm:
        return "it has just come in, and its oil is still warm"
    others = [each.tag for each in all_stops if each.yard == one.yard and each.key != one.key]
    if one.yard and others:
        return f"it is at {one.yard}, in one trip with {', '.join(others)}"
    shared = [name for name in sorted(one.set_ups) if before and name in before[-1].set_ups]
    if shared:
        return f"the same {shared[0]} as {before[-1].tag}"
    if one.rank <= RANKS.index("due") and any(each.rank > one.rank for each in all_stops):
        return f"{one.state} comes first"
    return ""
