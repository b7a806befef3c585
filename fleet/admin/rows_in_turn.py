"""Rows of a sheet that take each other's place: told in words, where the database would refuse.

Django holds the rows of a form against each other as they are to be.  They are saved one after the
other, though, so that a row which takes what another has until then is refused by the database.
"""

from typing import Any

from django import forms
from django.db.models import Model, UniqueConstraint
from django.forms.models import BaseInlineFormSet

TAKEN = "“{other}” has that until this is saved: change that one first and save, then this one."


class RowsInTurn(BaseInlineFormSet):
    """Rows beside one sheet: the deleted ones go first, and none takes what another still has."""

    _deleted_first = False

    @property
    def initial_forms(self) -> list[forms.ModelForm]:
        """Rows that stood; while they are saved, those that go before those that stay."""
        stood: list[forms.ModelForm] = super().initial_forms
        if self._deleted_first:
            going = self.deleted_forms
            stood.sort(key=lambda form: form not in going)
        return stood

    def save_existing_objects(self, commit: bool = True) -> list[Any]:
        """Save the rows that stood."""
        self._deleted_first = True
        try:
            saved: list[Any] = super().save_existing_objects(commit=commit)
        finally:
            self._deleted_first = False
        return saved

    def clean(self) -> None:
        """Refuse a row that takes what another one of them has in the database."""
        super().clean()
        going = self.deleted_forms
        rows = [one for one in self.forms if one.has_changed() and one not in going]
        if not rows or self.instance.pk is None:
            return
        gone = {one.instance.pk for one in going}
        assert self.model is not None  # the factory of row sets names it
        stood = self.model._default_manager.filter(**{self.fk.name: self.instance})
        staying = [row for row in stood if row.pk not in gone]
        for names in _unique_together(self.model):
            held = {_values(row, names): row for row in staying}
            for form in rows:
                other = held.get(_values(form.instance, names))
                if other is not None and other.pk != form.instance.pk:
                    form.add_error(None, TAKEN.format(other=other))


def _unique_together(model: type[Model]) -> list[tuple[str, ...]]:
    """Return what no two rows of a table may have in common."""
    return [
        tuple(one.fields)
        for one in model._meta.constraints
        if isinstance(one, UniqueConstraint) and one.fields and one.condition is None
    ]


def _values(row: Model, names: tuple[str, ...]) -> tuple[Any, ...]:
    fields = [row._meta.get_field(name) for name in names]
    return tuple(getattr(row, str(getattr(one, "attname", one.name))) for one in fields)
