"""Parts that substitutes stand in for in a shop's plan: by which, how many, on which jobs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import OrderLine, Part
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


def tell_covered(lines: Iterable[OrderLine], covered: Sequence[CoveredPart]) -> None:
    """Tell lines that are not received from which day a job waits for them; no query.

    What days jobs stand on was told before.  A job that takes a substitute waits for nothing.
    """
    for line in lines:
        if line.received_at or line.dropped_at:
            continue
        taken = {job for one in covered if one.named == line.part for job in one.jobs}
        jobs = [(job.machine.tag, job.stands_on or job.day) for job in line.jobs.all()]
        waiting = [day for tag, day in jobs if (tag, day) not in taken]
        if len(waiting) < len(jobs):
            line.nobody_waits = not waiting
            line.waits_from = max(line.need_by, min(waiting, default=line.need_by))
