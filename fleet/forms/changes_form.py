"""The form above the change log: what is wanted of it."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from fleet.models import LoggedChange
from fleet.queries.logged_changes import WantedChanges, kinds_in, people_in


class ChangesForm(forms.Form):
    """Kind, person, machine, days and text; nothing given: all of it."""

    kind = forms.ChoiceField(label="What", required=False)
    by: forms.ModelChoiceField = forms.ModelChoiceField(
        None, label="Who", required=False, empty_label="everybody"
    )
    machine = forms.CharField(label="Machine", required=False, max_length=20)
    first = forms.DateField(
        label="From", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    last = forms.DateField(
        label="To", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    text = forms.CharField(label="With the words", required=False, max_length=100)

    def __init__(self, data: Any, rows: QuerySet[LoggedChange]) -> None:
        """Offer what there is among the rows that this person may see."""
        super().__init__(data)
        kinds = [(kind, kind) for kind in kinds_in(rows)]
        self.fields["kind"].choices = [("", "everything"), *kinds]  # type: ignore[attr-defined]
        self.fields["by"].queryset = people_in(rows)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Refuse days that run backwards."""
        typed = super().clean() or {}
        first, last = typed.get("first"), typed.get("last")
        if first and last and last < first:
            self.add_error("last", "That is before the first day.")
        return typed

    def wanted(self) -> WantedChanges:
        """Return what is wanted; what cannot be read narrows nothing, and says so at its field."""
        self.is_valid()
        return WantedChanges(**self.cleaned_data)
