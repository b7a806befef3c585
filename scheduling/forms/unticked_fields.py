"""What stands under work that is not ticked: asked about as a sheet is finished, never dropped."""

from collections.abc import Callable
from typing import Any

from django import forms

from scheduling.forms.measures import Measure
from scheduling.queries.job_sheet import JobSheet, SheetWork

STAYS = "stays"
"""Name of the ticks that say of work: not done yet, what stands under it stays on the sheet."""


class UntickedFields(forms.Form):
    """Asks of each piece of work with entries and without a tick whether it is done.

    asked_ticks: keys of the work that was asked about.
    """

    sheet: JobSheet
    measures: dict[str, list[Measure]]
    ticked_off: Callable[[], dict[str, str]]

    @property
    def stays_keys(self) -> set[str]:
        """Work of which it was said that it is not done yet."""
        sent = self.data.getlist(STAYS) if hasattr(self.data, "getlist") else []
        return set(sent)

    def names_under(self, work: SheetWork) -> list[str]:
        """Return the fields under some work in which something stands: steps and measures."""
        start = f"step_{work.service.pk}_" if work.service else None
        steps = [name for name in self.data if start and name.startswith(start)]
        measures = self.measures[work.work_key]
        return [
            name
            for name in [*steps, *(each for one in measures for each in (one.name, one.soon))]
            if str(self.data.get(name, "")).strip()
        ]

    def ask_for_ticks(self, ticked: set[str]) -> None:
        """Refuse answers and ticks under work that is neither ticked nor said to stay."""
        self.asked_ticks: set[str] = set()
        for work in self.sheet.work:
            names = self.names_under(work)
            if not names or work.work_key in ticked:
                continue
            self.asked_ticks.add(work.work_key)
            if work.work_key in self.stays_keys or not any(n.startswith("step_") for n in names):
                continue  # a measure is asked about at its own field
            self.add_error(
                None,
                f"“{work.title}” is not ticked, and something is answered under it: tick it if it"
                " is done, or say under it that it stays on the sheet.",
            )

    def staying(self, ticked: set[str]) -> dict[str, str]:
        """Return what stands under work that is not ticked: field -> value."""
        off = {f"also={work.work_key}|" for work in self.sheet.work if work.work_key not in ticked}
        under = {
            name: str(self.data[name])
            for work in self.sheet.work
            if work.work_key not in ticked
            for name in self.names_under(work)
        }
        added = {
            f"added={work.work_key}": "on"
            for work in self.sheet.added
            if work.work_key not in ticked and self.names_under(work)
        }
        return under and under | added | {
            name: value
            for name, value in self.ticked_off().items()
            if any(name.startswith(start) for start in off)
        }

    def asks_tick(self, work: SheetWork) -> bool:
        """Whether it is asked of some work if it is done."""
        return work.work_key in getattr(self, "asked_ticks", ())

    def ask_what_was_done(self, cleaned: dict[str, Any]) -> None:
        """Refuse what is said of work, where no work is ticked."""
        if cleaned.get("note", "").strip():
            self.add_error(
                "note", "Tick the work that the note is about, or write it as something else seen."
            )
        if cleaned.get("minutes"):
            self.add_error("minutes", "Tick the work that took these minutes, or empty them.")
