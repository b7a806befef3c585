"""Fields of a job sheet for what was taken from the shelf, in the yard's units."""

import re
from functools import cached_property
from typing import Any

from django import forms
from django.utils.functional import lazy

from fleet.forms.doubts import Doubts
from fleet.measured_values import parse_measured
from fleet.models import Part
from fleet.possible_values import odd_volume
from fleet.quantities import QUART, parse_volume
from scheduling.queries.job_sheet import JobSheet
from scheduling.queries.sheet_takes import FilledTake, SheetTake, filled_takes, sheet_takes

LITRE = 1000.0
"""Millilitres in a litre."""


class ShelfFields(forms.Form):
    """What the planned work takes, with the quantity that it should take typed in."""

    sheet: JobSheet
    units: str
    doubts: Doubts

    has_part_fields = False

    def add_part_fields(self) -> None:
        """Make a field for each part and fluid that the shelf keeps, and for each substitute.

        A form that is sent asks nothing of the shelf: what is typed in beforehand, and why, is
        looked up once it is shown.
        """
        self.has_part_fields = True
        for take in self._takes:
            self.fields[_part_name(take.part)] = self._part_field(take)

    @cached_property
    def _takes(self) -> list[SheetTake]:
        return sheet_takes(self.sheet)

    @cached_property
    def _filled(self) -> dict[int, FilledTake]:
        return filled_takes(self.sheet, self._takes)

    def _part_field(self, take: SheetTake) -> forms.CharField:
        return forms.CharField(
            label=f"{take.name}, {self._unit(take) or 'pieces'}",
            required=False,
            initial=lambda: self._typed_in(take),
            help_text=lazy(self._hint, str)(take),
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        )

    def _typed_in(self, take: SheetTake) -> str:
        return self._say(take, self._filled[take.part.pk].quantity)

    def _say(self, take: SheetTake, quantity: float) -> str:
        if quantity == 0 and self._is_one_of_two(take):
            return ""
        return f"{quantity / self._size(take):.4g}"

    def _once_typed_in(self, take: SheetTake) -> set[str]:
        """Return what may have been typed in when the sheet was opened: the shelf moves."""
        stands_in = sum(one.quantity for one in self._takes if one.part == take.does_for)
        amounts = {self._say(take, much) for much in (take.quantity, take.quantity + stands_in)}
        return amounts | {self._typed_in(take)}

    def _is_one_of_two(self, take: SheetTake) -> bool:
        """Whether another part of the sheet does in its place, or the other way round."""
        return take.does_for is not None or any(one.does_for == take.part for one in self._takes)

    def _hint(self, take: SheetTake) -> str:
        """Say why a substitute is typed in, or that it does; and that another part is."""
        if why := self._filled[take.part.pk].why:
            return f"{why} The pull list gives this one; change it if you took another."
        if take.does_for:
            return f"Fits in place of {take.does_for}."
        return ""

    def _size(self, take: SheetTake) -> float:
        """Return how many stored units one unit in the form is."""
        if not take.fluid:
            return 1.0
        return QUART if self.units == "us" else LITRE

    def _unit(self, take: SheetTake) -> str:
        """Return the yard's unit of a fluid; pieces have none."""
        if not take.fluid:
            return ""
        return "qt" if self.units == "us" else "L"

    def ask_what_took_parts(self) -> None:
        """Refuse a quantity that was typed while no work is ticked that took it."""
        for take in self._takes if self.has_part_fields else ():
            name = _part_name(take.part)
            text = self.cleaned_data.get(name, "").strip()
            if text and text not in self._once_typed_in(take) and name not in self.errors:
                self.add_error(name, "Tick the work that this was taken for, or empty it.")

    def _taken(self, take: SheetTake) -> float | None:
        """Read what was taken; of a fluid, more than the make-up takes is asked about."""
        return self.read_take(self.name_of(take), take)

    @staticmethod
    def name_of(take: SheetTake) -> str:
        """Return the name of the field of what planned work takes."""
        return _part_name(take.part)

    def read_take(self, name: str, take: SheetTake) -> float | None:
        """Read a quantity in the unit of its field; None where none was typed or it was refused."""
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        try:
            number = self._amount(take, text)
        except ValueError as error:
            self.add_error(name, str(error))
            return None
        if take.fluid and take.quantity:
            most, unit = take.quantity / self._size(take), self._unit(take)
            self.doubts.weigh(self, name, odd_volume(number, most, name=take.name, unit=unit))
        return number

    def _amount(self, take: SheetTake, text: str) -> float:
        if take.fluid:
            return parse_volume(text, self.units) / self._size(take)
        return parse_pieces(text)

    def part_rows(self) -> list[Any]:
        """Return the fields of parts and fluids."""
        if not self.has_part_fields:
            self.add_part_fields()
        return [self[_part_name(take.part)] for take in self._takes]


def parse_pieces(text: str) -> float:
    """Read a number of pieces; a unit of volume or length is named as wrong."""
    return parse_measured(re.sub(r"(?i)\s*(pcs?|pieces?)\.?$", "", text), "")


def _part_name(part: Part) -> str:
    return f"part_{part.pk}"
