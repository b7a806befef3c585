"""Sheets of shops, yards and people."""

from collections.abc import Iterable
from typing import Any

from django.contrib import admin, messages
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import UserChangeForm
from django.db.models import QuerySet
from django.forms import ModelForm
from django.http import HttpRequest

from fleet.access import signed_in
from fleet.actions.follow_zone import follow_zone
from fleet.actions.keep_changes import ChangedValue
from fleet.admin.logged_sheets import LoggedSheet
from fleet.admin.set_up_site import Managed, SheetRows, TellingSheet, managing, site
from fleet.models import (
    Absence,
    ClosedDay,
    Machine,
    Person,
    Qualification,
    Role,
    Shop,
    ShopHours,
    Skill,
    WorkingHours,
    Yard,
)
from fleet.queries.shop_reach import serves_all
from fleet.queries.who_works import only_days_off, say_days_off


class ShopHoursRows(SheetRows):
    """Opening hours, a row a weekday."""

    model = ShopHours


class ClosedDayRows(SheetRows):
    """Holidays and other closed days."""

    model = ClosedDay


@admin.register(Shop, site=site)
class ShopSheet(TellingSheet):
    """A shop: zone, units, hours, closed days, and how far its plan looks."""

    list_display = ["name", "time_zone", "units", "bays", "nightly_at"]

    def has_add_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """Add a shop: whoever looks after all that there are."""
        return managing(request) and serves_all(signed_in(request))

    inlines = [ShopHoursRows, ClosedDayRows]

    def machines_touched(self, obj: Shop) -> Iterable[int]:
        """All machines of its yards."""
        return Machine.objects.filter(yard__shop=obj).values_list("pk", flat=True)


@admin.register(Yard, site=site)
class YardSheet(TellingSheet):
    """A yard: shop, zone, units, way to the shop, duty factor."""

    list_display = ["name", "shop", "time_zone", "units", "remote", "duty_factor"]

    def save_model(self, request: HttpRequest, obj: Yard, form: ModelForm, change: bool) -> None:
        """Save it; its bookings follow a time zone that was put right."""
        before = Yard.objects.get(pk=obj.pk) if change else None
        super().save_model(request, obj, form, change)
        follow_zone(before, obj)

    def machines_touched(self, obj: Yard) -> Iterable[int]:
        """All machines of the yard."""
        return obj.machines.values_list("pk", flat=True)


@admin.register(Skill, site=site)
class SkillSheet(TellingSheet):
    """A skill, by name, and whether it is one of a qualified person alone."""

    list_display = ["name", "by_certificate"]


class QualificationRows(SheetRows):
    """Skills held, and until when."""

    model = Qualification


class WorkingHoursRows(SheetRows):
    """Hours of work, a row a weekday."""

    model = WorkingHours


class AbsenceRows(SheetRows):
    """Days away."""

    model = Absence
    fk_name = "person"


@admin.register(Person, site=site)
class PersonSheet(Managed, LoggedSheet, UserAdmin):
    """A person: sign-in, role, shop, skills, hours, absences."""

    list_display = ["username", "first_name", "last_name", "role", "shop", "is_active"]
    list_filter = ["role", "shop", "is_active"]
    form = UserChangeForm
    inlines = [QualificationRows, WorkingHoursRows, AbsenceRows]
    fieldsets = [
        (None, {"fields": ["username", "password", "is_active"]}),
        ("Who", {"fields": ["first_name", "last_name", "email"]}),
        ("What for", {"fields": ["role", "shop"]}),
    ]
    add_fieldsets = [
        (
            None,
            {
                "classes": ["wide"],
                "fields": [
                    "username",
                    "email",
                    "role",
                    "shop",
                    "usable_password",
                    "password1",
                    "password2",
                ],
            },
        )
    ]

    def get_queryset(self, request: HttpRequest) -> QuerySet[Person]:
        """Return the people whom one may touch, and oneself."""
        rows: QuerySet[Person] = super().get_queryset(request)
        return rows | Person.objects.filter(pk=signed_in(request).pk)

    def get_form(self, request: HttpRequest, *args: Any, **more: Any) -> type[ModelForm]:
        """Offer the roles and shops that this person may give."""
        form: type[ModelForm] = super().get_form(request, *args, **more)
        by = signed_in(request)
        if "role" in form.base_fields and not by.owns:
            kept = [one for one in Role.choices if one[0] != Role.OWNER]
            form.base_fields["role"].choices = kept  # type: ignore[attr-defined]
        if "shop" in form.base_fields:
            form.base_fields["shop"].required = by.only_shop_id is not None
        return form

    def save_formset(
        self, request: HttpRequest, form: ModelForm, formset: Any, change: bool
    ) -> None:
        """Save rows; an absence on days off changes nothing, and that is said."""
        super().save_formset(request, form, formset, change)
        for row in getattr(formset, "new_objects", []):
            if isinstance(row, Absence) and only_days_off(row):
                messages.info(request, say_days_off(row))

    def has_delete_permission(self, request: HttpRequest, obj: object = None) -> bool:
        """People who left are made inactive: the book keeps their names."""
        return False

    def log_change(self, request: HttpRequest, obj: Person, message: Any) -> Any:
        """Tell of a password that was set on its own page; never what it is."""
        here = request.resolver_match
        if here and here.url_name == "auth_user_password_change":
            self.keep(request, obj, "changed", [ChangedValue("password", "", "set")])
        return super().log_change(request, obj, message)
