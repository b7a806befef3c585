"""What was typed for another end of the visit than the one pressed: kept, or asked about."""

from typing import Any

from django import forms

from scheduling.forms.measures import Measure
from scheduling.forms.sheet_ends import SheetEnd
from scheduling.queries.job_sheet import JobSheet

OTHER_ENDS = {
    SheetEnd.LEAVE: ("reason",),
    SheetEnd.PUT_OFF: ("worked", "left", "lies_open"),
    SheetEnd.FINISH: (),
}
"""End of a visit -> fields that it has no use for, and that stay on the sheet."""
NOT_TO_FINISH = {
    "worked": "These minutes are of work that is left under way. Write them as minutes of work, or"
    " empty them.",
    "left": "This is of work that is left under way: leave it under way, or empty this.",
    "lies_open": "This is of work that is left under way: leave it under way, or write it as a note"
    " and empty this.",
    "reason": "This is of work that is put off: put it off, or empty this.",
}
"""What is asked about as work is finished, and the question."""

NOT_TYPED = frozenset(
    {
        "csrfmiddlewaretoken",
        "act_key",
        "form_key",
        "also",
        "also_shown",
        "done",
        "really_so",
        "stays",
    }
)
"""Names that a sheet sends and nobody typed, or that stand many times."""


class CarriedFields(forms.Form):
    """Returns what stays on the sheet of a visit that goes on another day."""

    sheet: JobSheet
    measures: dict[str, list[Measure]]
    end: SheetEnd

    def still_typed(self) -> dict[str, str]:
        """Return what stays: field -> value; "" for what was ticked off."""
        stays = [
            *(one.name for found in self.measures.values() for one in found),
            *(name for name in self.fields if name.startswith("part_")),
            *OTHER_ENDS[self.end],
            *("minutes", "more_part", "more_quantity"),
        ]
        typed = {
            name: str(self.data.get(name, ""))
            for name in stays
            if self.data.get(name) != self.get_initial_for_field(self.fields[name], name)
        }
        answered = ("step_", "soon_", "why_")
        steps = {name: str(self.data[name]) for name in self.data if name.startswith(answered)}
        kept = {name: value for name, value in {**typed, **steps}.items() if value.strip()}
        added = {f"added={one.work_key}": "on" for one in self.sheet.added}
        return kept | added | self.ticked_off()

    def all_typed(self) -> dict[str, str]:
        """Return all that stands on the sheet, each tick of many by itself: field -> value."""
        if not hasattr(self.data, "getlist"):
            return {}
        single = {
            name: str(value)
            for name, value in self.data.items()
            if value and name not in NOT_TYPED and not name.startswith("text_")
        }
        ticks = {
            f"{name}={key}": "on" for name in ("done", "added") for key in self.data.getlist(name)
        }
        return single | ticks | self.ticked_off()

    def changed_typing(self) -> dict[str, str]:
        """Return the same without what a fresh sheet would have typed in by itself."""
        return {
            name: value
            for name, value in self.all_typed().items()
            if name not in self.fields
            or value != str(self.get_initial_for_field(self.fields[name], name))
        }

    def ticked_off(self) -> dict[str, str]:
        """Return the services that work was shown to count as too, and that were unticked."""
        if not hasattr(self.data, "getlist"):
            return {}
        ticked = set(self.data.getlist("also"))
        return {f"also={one}": "" for one in self.data.getlist("also_shown") if one not in ticked}

    def ask_for_other_ends(self, cleaned: dict[str, Any]) -> None:
        """Refuse to finish over what was written for work that is left or put off."""
        for name, sentence in NOT_TO_FINISH.items():
            if cleaned.get(name):
                self.add_error(name, sentence)
