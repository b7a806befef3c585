"""Fields of a job sheet for what was taken from the shelf, in the yard's units."""

import re
from typing import Any

from django import forms

from fleet.forms.doubts import Doubts
from fleet.measured_values import parse_measured
from fleet.models import Part
from fleet.possible_values import odd_volume
from fleet.quantities import QUART, parse_volume
from scheduling.queries.job_sheet import JobSheet
from scheduling.queries.shelf_needs import Need

LITRE = 1000.0
"""Millilitres in a litre."""


class ShelfFields(forms.Form):
    """What the planned work takes, with the quantity that it should take typed in."""

    sheet: JobSheet
    units: str
    doubts: Doubts

    has_part_fields = False

    def add_part_fields(self) -> None:
        """Make a field for each part and fluid that the shelf keeps."""
        self.has_part_fields = True
        for need in self._kept():
            self.fields[_part_name(need.part)] = self._part_field(need)

    def _kept(self) -> list[Need]:
        return [need for need in self.sheet.needs if need.part]

    def _part_field(self, need: Need) -> forms.CharField:
        quantity = need.quantity / self._size(need)
        return forms.CharField(
            label=f"{need.name}, {self._unit(need) or 'pieces'}",
            required=False,
            initial=f"{quantity:.4g}",
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        )

    def _size(self, need: Need) -> float:
        """Return how many stored units one unit in the form is."""
        if not need.fluid:
            return 1.0
        return QUART if self.units == "us" else LITRE

    def _unit(self, need: Need) -> str:
        """Return the yard's unit of a fluid; pieces have none."""
        if not need.fluid:
            return ""
        return "qt" if self.units == "us" else "L"

    def parts_taken(self) -> list[tuple[Part, float]]:
        """Return what was taken, in stored units."""
        taken = [(need, self._taken(need)) for need in self._kept()]
        return [
            (need.part, number * self._size(need)) for need, number in taken if number and need.part
        ]

    def _taken(self, need: Need) -> float | None:
        """Read what was taken; of a fluid, more than the make-up takes is asked about."""
        name = _part_name(need.part)
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        try:
            number = self._amount(need, text)
        except ValueError as error:
            self.add_error(name, str(error))
            return None
        if need.fluid:
            takes, unit = need.quantity / self._size(need), self._unit(need)
            self.doubts.weigh(self, name, odd_volume(number, takes, name=need.name, unit=unit))
        return number

    def _amount(self, need: Need, text: str) -> float:
        if need.fluid:
            return parse_volume(text, self.units) / self._size(need)
        return parse_pieces(text)

    def part_rows(self) -> list[Any]:
        """Return the fields of parts and fluids."""
        if not self.has_part_fields:
            self.add_part_fields()
        return [self[_part_name(need.part)] for need in self._kept()]


def parse_pieces(text: str) -> float:
    """Read a number of pieces; a unit of volume or length is named as wrong."""
    return parse_measured(re.sub(r"(?i)\s*(pcs?|pieces?)\.?$", "", text), "")


def _part_name(part: Part | None) -> str:
    return f"part_{part.pk}" if part else ""
