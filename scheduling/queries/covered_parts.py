"""Parts that substitutes stand in for in a shop's plan: by which, how many, on which jobs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from fleet.models import Part
from fleet.queries.stock_words import say_quantity
from scheduling.queries.planned_parts import StandsIn


@dataclass(frozen=True)
class CoveredPart:
    """So many pieces of `named` that `part` stands in for; jobs: tag and day, the first first."""

    named: Part
    part: Part
    quantity: float
    jobs: tuple[tuple[str, date], ...]

    @property
    def much(self) -> str:
        """How many are covered; what has a substitute is counted by the piece."""
        return say_quantity(self.part, self.quantity, "")

    def __str__(self) -> str:
        jobs = ", ".join(f"{tag} {day.isoformat()}" for tag, day in self.jobs)
        return f"{self.much} by {self.part}: {jobs}"


def covered_parts(stand_ins: Iterable[StandsIn]) -> list[CoveredPart]:
    """Return what is covered, by number of the part and of its substitute."""
    found: dict[tuple[Part, Part], list[StandsIn]] = {}
    for one in sorted(stand_ins, key=lambda each: (each.day, each.tag)):
        found.setdefault((one.named, one.part), []).append(one)
    covered = [
        CoveredPart(
            named, part, sum(one.quantity for one in each),
            tuple(dict.fromkeys((one.tag, one.day) for one in each)),
        )
        for (named, part), each in found.items()
    ]  # fmt: skip
    return sorted(covered, key=lambda one: (one.named.number, one.part.number))
