"""The set-up sheets: forms over every fact that a fleet manager keeps, open to managers alone."""

from collections.abc import Iterable
from datetime import UTC
from functools import wraps
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import admin
from django.contrib.admin.widgets import AutocompleteSelect
from django.core.exceptions import BadRequest, PermissionDenied
from django.db import models, transaction
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import URLPattern, URLResolver
from django.utils import timezone

from fleet.access import signed_in
from fleet.admin.logged_sheets import LoggedSheet
from fleet.admin.rows_in_turn import RowsInTurn
from fleet.admin.typed_choice import TypedChoice
from fleet.changed_facts import tell
from fleet.models import Person
from fleet.queries.history_of import history_of
from fleet.queries.mine import home_shop
from fleet.queries.shop_reach import within

OWN_WAYS = ("login", "logout", "password_change", "password_change_done")


class SetUpSite(admin.AdminSite):
    """Django's form site under our own roles: whoever manages the fleet may open it."""

    site_header = site_title = "Set-up sheets"
    index_title = "Everything that Evener goes by"
    enable_nav_sidebar = False

    def has_permission(self, request: HttpRequest) -> bool:
        """Let managers in, and nobody else."""
        person = request.user
        return person.is_active and isinstance(person, Person) and person.manages

    def get_urls(self) -> list[URLPattern | URLResolver]:
        """Leave out Django's own ways in and out: the site has its own."""
        kept = [one for one in super().get_urls() if getattr(one, "name", "") not in OWN_WAYS]
        for one in kept:
            view: Any = getattr(one, "callback", None)
            if hasattr(view, "login_url"):
                view.login_url = settings.LOGIN_URL  # it names the page that is left out
        return kept

    def admin_view(self, view: Any, cacheable: bool = False) -> Any:
        """Tell who may not that they may not, instead of asking them to sign in once more."""
        guarded = super().admin_view(view, cacheable)

        @wraps(view)
        def told(request: HttpRequest, *args: Any, **more: Any) -> HttpResponse:
            if not self.has_permission(request):
                raise PermissionDenied
            try:
                answer: HttpResponse = guarded(request, *args, **more)
            except OverflowError as beyond:  # a year or key that neither Python nor SQL can hold
                raise BadRequest("The address has a number that no row can have.") from beyond
            return answer

        return told


site = SetUpSite(name="sheets")
# many at once would go without a word about what each has behind it
site.disable_action("delete_selected")


def managing(request: HttpRequest) -> bool:
    """Whether the person who asks may manage the fleet."""
    return isinstance(request.user, Person) and request.user.manages


class Managed:
    """Permissions of a sheet: the manager's role instead of one permission a model.

    Rows of another shop are not there for who is bound to one, neither to change nor to choose.
    """

    def get_queryset(self, request: HttpRequest) -> models.QuerySet:
        """Return what the person may touch."""
        rows: models.QuerySet = super().get_queryset(request)  # type: ignore[misc]
        return within(signed_in(request), rows) if managing(request) else rows.none()

    def formfield_for_foreignkey(
        self, db_field: Any, request: HttpRequest, **more: Any
    ) -> forms.ModelChoiceField | None:
        """Let what the person may touch be chosen."""
        field: forms.ModelChoiceField | None = super().formfield_for_foreignkey(  # type: ignore[misc]
            db_field, request, **more
        )
        if field is not None and field.queryset is not None:
            field.queryset = within(signed_in(request), field.queryset)
            if isinstance(field.widget, AutocompleteSelect):
                field.widget = TypedChoice(db_field, self.admin_site)  # type: ignore[attr-defined]
        return field

    def has_module_permission(self, request: HttpRequest) -> bool:
        """Show the sheet to managers."""
        return managing(request)

    def has_view_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Let managers read."""
        return managing(request)

    def has_add_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Let managers add."""
        return managing(request)

    def has_change_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Let managers change what is set up (facts of the book are sheets of another kind)."""
        return managing(request)

    def has_delete_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Let managers delete what nothing else refers to."""
        return managing(request)


class SheetRows(Managed, admin.TabularInline):
    """Rows that belong to one sheet: hours of a shop, steps of a service."""

    formset = RowsInTurn
    extra = 0


class TellingSheet(Managed, LoggedSheet):
    """A set-up form that tells which machines it touched, so that their due points move."""

    list_per_page = 50
    save_on_top = True

    def machines_touched(self, obj: Any) -> Iterable[int]:
        """Return the machines whose due points, blocks or plan hang on this object."""
        return ()

    def save_related(
        self, request: HttpRequest, form: forms.ModelForm, formsets: Any, change: bool
    ) -> None:
        """Save the rows too, then tell; Django holds one transaction around all of it."""
        super().save_related(request, form, formsets, change)
        tell(self.machines_touched(form.instance))

    def delete_model(self, request: HttpRequest, obj: models.Model) -> None:
        """Delete one, and tell which machines that touched."""
        with transaction.atomic():
            touched = set(self.machines_touched(obj))
            super().delete_model(request, obj)
            tell(touched)

    def delete_view(
        self, request: HttpRequest, object_id: str, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Say what holds it, where something does; Django's list of what goes with it is not it."""
        row = self.get_object(request, object_id)
        shut = row is None or not self.has_delete_permission(request, row)
        if row is not None and not shut and (stays := history_of(row)):
            context = {**self.admin_site.each_context(request), "row": row, "stays": stays,
                       "opts": self.opts, "title": f"{row} stays"}  # fmt: skip
            return TemplateResponse(request, "admin/stays.html", context)
        return super().delete_view(request, object_id, extra_context)

    def changeform_view(self, request: HttpRequest, *args: Any, **more: Any) -> HttpResponse:
        """Read and show dates and times by the clock of the person's shop."""
        shop = home_shop(signed_in(request)) if managing(request) else None
        with timezone.override(shop.zone if shop else UTC):
            answer = super().changeform_view(request, *args, **more)
            if isinstance(answer, TemplateResponse):
                answer.render()  # it would be made later, by another clock
            return answer


class AddedRows(SheetRows):
    """Rows of facts: more can be added, and what stands there is never rewritten nor deleted."""

    def has_change_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Put right by another row, or on the machine's page."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Nothing that someone typed is lost."""
        return False


class FactSheet(TellingSheet):
    """Facts are looked at here, never rewritten: corrections are made on the machine's page."""

    def has_add_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Facts come in by the pages of the three people and by import."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """A correction is a new fact."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Nothing that someone typed is lost."""
        return False
