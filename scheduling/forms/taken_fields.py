"""What work beside the plan takes from the shelf, and any other part that was used."""

from functools import cached_property
from typing import Any

from django import forms

from fleet.models import Part
from fleet.queries.entry_choices import parts_by_name
from scheduling.forms.shelf_fields import ShelfFields
from scheduling.queries.job_sheet import SheetWork
from scheduling.queries.sheet_takes import SheetTake
from scheduling.queries.shelf_needs import add_up

TICK_FIRST = "Tick the work that this was taken for, or empty it."


class TakenFields(ShelfFields):
    """Fields of parts at each piece of work that is not planned, and one for any other part.

    What stands at such work counts once it is ticked, without a word: its quantity is typed in.
    """

    more_part: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, required=False, label="Another part or fluid used", empty_label="none"
    )
    more_quantity = forms.CharField(
        label="How much of it",
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )

    def choose_parts(self) -> None:
        """Offer every part; asked for once it is shown or chosen."""
        self.fields["more_part"].queryset = parts_by_name()  # type: ignore[attr-defined]

    def add_part_fields(self) -> None:
        """Make the fields of the planned work, and those of each other piece of work."""
        super().add_part_fields()
        for takes in self._beside.values():
            for name, take in takes:
                self.fields[name] = forms.CharField(
                    label=f"{take.name}, {self._unit(take) or 'pieces'}",
                    required=False,
                    initial=self._by_itself(take),
                    widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
                )

    @cached_property
    def _beside(self) -> dict[str, list[tuple[str, SheetTake]]]:
        """Key of work that is not planned -> what it takes, each with the name of its field."""
        self._takes  # noqa: B018  what the make-up names is fetched with them
        return {
            work.work_key: [
                (
                    f"part_{need.part.pk}_{work.service_id}",
                    SheetTake(need.part, need.name, need.quantity, need.fluid),
                )
                for need in add_up([work])
                if need.part
            ]
            for work in [*self.sheet.offered, *self.sheet.added]
        }

    def _by_itself(self, take: SheetTake) -> str:
        return f"{take.quantity / self._size(take):.4g}"

    def taken_with(self, ticked: list[SheetWork]) -> list[tuple[Part, float]]:
        """Return what was taken, in stored units: what the ticked work takes, and what was typed.

        What was typed in beforehand for planned work that is not ticked stays on the shelf.
        """
        taken = (
            [*self._of_planned(ticked), *self._of_others(ticked)] if self.has_part_fields else []
        )
        taken += self._more()
        return [(take.part, number * self._size(take)) for take, number in taken if number]

    def _of_planned(self, ticked: list[SheetWork]) -> list[tuple[SheetTake, float | None]]:
        takes = self._takes  # fetched before what they are made of is added up
        keys = {work.work_key for work in self.sheet.planned}
        work = [one for one in ticked if one.work_key in keys]
        needed = {need.part.pk for need in add_up(work) if need.part}
        return [
            (take, self._taken(take))
            for take in takes
            if self._is_needed(take, needed) or not self._untouched(take)
        ]

    def _of_others(self, ticked: list[SheetWork]) -> list[tuple[SheetTake, float | None]]:
        return [
            (take, self.read_take(name, take))
            for work in ticked
            for name, take in self._beside.get(work.work_key, ())
        ]

    def _untouched(self, take: SheetTake) -> bool:
        text = self.cleaned_data.get(self.name_of(take), "").strip()
        return not text or text in self._once_typed_in(take)

    @staticmethod
    def _is_needed(take: SheetTake, needed: set[int]) -> bool:
        return take.part.pk in needed or bool(take.does_for and take.does_for.pk in needed)

    def _more(self) -> list[tuple[SheetTake, float | None]]:
        part, text = self.cleaned_data.get("more_part"), self.cleaned_data.get("more_quantity", "")
        if part and not text.strip():
            self.add_error("more_quantity", "Say how much of it was used.")
        elif text.strip() and not part and "more_part" not in self.errors:
            self.add_error("more_part", "Choose the part that this much was used of.")
        elif part:
            take = SheetTake(part, str(part), 0.0, part.kind == Part.Kind.FLUID)
            return [(take, self.read_take("more_quantity", take))]
        return []

    def ask_what_took_others(self, ticked: set[str]) -> None:
        """Refuse what was typed at work that is not ticked, or of another part without a tick."""
        for key, takes in self._beside.items() if self.has_part_fields else ():
            for name, take in takes if key not in ticked else ():
                text = self.cleaned_data.get(name, "").strip()
                if text and text != self._by_itself(take):
                    self.add_error(name, TICK_FIRST)
        if not ticked and (self.cleaned_data.get("more_part") or self.data.get("more_quantity")):
            self.add_error("more_part", TICK_FIRST)

    def taken_rows(self, work: SheetWork) -> list[Any]:
        """Return the fields of what some work takes that is not planned."""
        if not self.has_part_fields:
            self.add_part_fields()
        return [self[name] for name, _ in self._beside.get(work.work_key, ())]
