"""The sheet of a machine: a model year that can be, and is of its make-up or said to be so."""

from typing import Any

from django import forms
from django.utils import timezone

from fleet.models import Machine
from fleet.possible_values import odd_year


class MachineSheetForm(forms.ModelForm):
    """A machine; what is odd is asked about once."""

    class Meta:
        """All that a sheet shows; the sheet says which."""

        model = Machine
        fields = "__all__"  # noqa: DJ007  the sheet is for managers, and shows what there is

    really_so = forms.BooleanField(
        label="The model year is really so", required=False,
        help_text="only where it was asked about",
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Judge the model year by the calendar and by the make-up."""
        given = super().clean() or {}
        year, makeup = given.get("year"), given.get("makeup")
        if year is None or makeup is None or not {"year", "makeup"} & set(self.changed_data):
            return given
        oddity = odd_year(
            year, today=timezone.now().date(), first=makeup.first_year, last=makeup.last_year
        )
        if oddity and (oddity.impossible or not given.get("really_so")):
            self.add_error("year", oddity.sentence)
        return given
