"""A piece of planned work as Shop days shows it: done or not, pinned or not, kept or not."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.charts import short_hours
from fleet.models import Pin
from fleet.saying import short_date
from scheduling.models import PlannedJob
from scheduling.queries.batch_list import ListedJob, ListedWork


@dataclass(frozen=True)
class ShownWork(ListedWork):
    """One piece of work with the pin that stands for it, if any, and the job that it is part of."""

    pin: Pin | None
    job: PlannedJob | None

    @property
    def kept(self) -> bool:
        """Whether it stands where it is pinned."""
        if self.pin is None or self.job is None:
            return False
        return self.pin.day == self.job.day and self.pin.mechanic_id in (None, self.job.mechanic_id)

    @property
    def pin_says(self) -> str:
        """Say the pin in a word or two: "pinned", or that it cannot be or is not kept."""
        if self.pin is None:
            return ""
        if self.kept:
            return "pinned"
        return "pin not kept"

    @property
    def pin_wants(self) -> str:
        """Say where an unkept pin wants it, and what became of that; empty where it is kept."""
        if self.pin is None or self.kept:
            return ""
        where = self._where(self.pin)
        if self.work.unkept:
            return f"Pinned to {where}, but it is not there."
        if self.job and self.pin.day < self.job.plan.first_day:
            return f"Pinned to {where}: that day has gone by."
        return f"Pinned to {where}; the plan has not been made again since."

    def _where(self, pin: Pin) -> str:
        first: date = self.job.plan.first_day if self.job else pin.day
        who = f" with {pin.mechanic}" if pin.mechanic else ""
        return f"{short_date(pin.day, first)}{who}"


@dataclass(frozen=True)
class ShownJob(ListedJob):
    """One machine's visit with its work as it is shown."""

    work: Sequence[ShownWork]

    @property
    def open_work(self) -> list[ShownWork]:
        """Work that is left: what can be moved."""
        return [each for each in self.work if not each.done]

    @property
    def pinned(self) -> bool:
        """Whether a pin stands for any of the work that is left."""
        return any(each.pin for each in self.open_work)

    @property
    def on(self) -> str:
        """The day on which it stands: "Mon 2 Mar"."""
        return short_date(self.job.day, self.job.day)

    @property
    def hours(self) -> str:
        """Planned hours of the mechanic on this day, as short as can be: "1.5"."""
        return short_hours(self.minutes)

    @property
    def pin_kept(self) -> bool:
        """Whether all pins of the work that is left are kept."""
        return all(each.kept for each in self.open_work if each.pin)

    @property
    def movable(self) -> bool:
        """Whether it can be moved from where it is looked at: not from its later days."""
        return bool(self.open_work) and self.day == self.job.day
