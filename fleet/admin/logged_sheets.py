"""Sheets whose every change stands in the change log: old and new by field, rows of inlines too."""

from typing import Any

from django import forms
from django.contrib import admin
from django.db import models, transaction
from django.forms.models import _get_foreign_key
from django.http import HttpRequest
from django.utils import timezone

from fleet.access import signed_in
from fleet.actions.keep_changes import ChangedValue, differences, keep_change
from fleet.actions.keep_set_up import LogTerms, snapshot


class LoggedSheet(admin.ModelAdmin):
    """A sheet that writes what was added, changed or deleted, in the transaction of the change."""

    unlogged: tuple[str, ...] = ("password", "last_login", "date_joined")
    """Fields that are not told: what the program writes by itself, and secrets."""

    def save_model(
        self, request: HttpRequest, obj: Any, form: forms.ModelForm, change: bool
    ) -> None:
        """Look what stood there before it is overwritten."""
        stood = self.model._default_manager.filter(pk=obj.pk).first() if change else None
        terms = self._terms(request, obj)
        form.stood = snapshot(stood, terms) if stood else {}  # type: ignore[attr-defined]
        super().save_model(request, obj, form, change)

    def save_related(
        self, request: HttpRequest, form: forms.ModelForm, formsets: Any, change: bool
    ) -> None:
        """Save the rows, and log what is different from before."""
        super().save_related(request, form, formsets, change)
        row = self.model._default_manager.get(pk=form.instance.pk)
        before = getattr(form, "stood", {})
        values = differences(before, snapshot(row, self._terms(request, row)))
        if values or not change:
            self.keep(request, row, "changed" if change else "added", values)

    def delete_model(self, request: HttpRequest, obj: Any) -> None:
        """Log what is deleted with what stood there, then delete it."""
        with transaction.atomic():
            self._keep_gone(request, obj)
            super().delete_model(request, obj)

    def delete_queryset(self, request: HttpRequest, queryset: models.QuerySet) -> None:
        """Log each that is deleted, then delete them."""
        with transaction.atomic():
            for obj in queryset:
                self._keep_gone(request, obj)
            super().delete_queryset(request, queryset)

    def _keep_gone(self, request: HttpRequest, obj: models.Model) -> None:
        stood = snapshot(obj, self._terms(request, obj))
        self.keep(request, obj, "deleted", differences(stood, {}))

    def keep(
        self, request: HttpRequest, row: models.Model, act: str, values: list[ChangedValue]
    ) -> None:
        """Write one change of a row of this sheet."""
        keep_change(row, act, values, by=signed_in(request), now=timezone.now())

    def _terms(self, request: HttpRequest, obj: models.Model) -> LogTerms:
        """Return the fields that a form can change, and the rows beside it that it can rewrite.

        Rows that are only added (movements of stock) are facts that stand for themselves.
        """
        meta = self.model._meta
        fields = [f.name for f in meta.concrete_fields if f.editable and not f.primary_key]
        many = [f.name for f in meta.many_to_many if f.editable]
        rows = []
        for inline in self.get_inline_instances(request, obj):
            if inline.has_change_permission(request, obj):
                key = _get_foreign_key(self.model, inline.model, fk_name=inline.fk_name)
                rows.append(str(key.remote_field.get_accessor_name()))
        return LogTerms([name for name in [*fields, *many] if name not in self.unlogged], rows)
