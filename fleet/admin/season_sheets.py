"""The sheet of seasons: when machines are used more or less than usual."""

from collections.abc import Iterable

from django.contrib import admin
from django.db.models import Q

from fleet.admin.set_up_site import TellingSheet, site
from fleet.models import Machine, SeasonWeight


@admin.register(SeasonWeight, site=site)
class SeasonSheet(TellingSheet):
    """A season; what it weighs enters every forecast of the machines that it means."""

    list_display = ["reason", "weight", "begins", "ends", "yard", "machine_class", "makeup"]
    list_filter = ["yard", "machine_class"]
    list_select_related = ["yard", "machine_class", "makeup"]
    autocomplete_fields = ["makeup"]
    fieldsets = [
        (None, {"fields": ["reason", "weight"]}),
        ("From", {"fields": [("first_month", "first_day")]}),
        ("To, the last day included", {"fields": [("last_month", "last_day")]}),
        ("Which machines", {"fields": ["yard", "machine_class", "makeup"]}),
    ]

    @admin.display(description="from", ordering="first_month")
    def begins(self, obj: SeasonWeight) -> str:
        """Say the first day."""
        return obj.begins

    @admin.display(description="to", ordering="last_month")
    def ends(self, obj: SeasonWeight) -> str:
        """Say the last day."""
        return obj.ends

    def machines_touched(self, obj: SeasonWeight) -> Iterable[int]:
        """All machines that the season means, as it stands now.

        Those that it meant before a change follow at night.
        """
        meant = Q(retired_on=None)
        if obj.yard_id:
            meant &= Q(yard=obj.yard_id)
        if obj.machine_class_id:
            meant &= Q(makeup__machine_class=obj.machine_class_id)
        if obj.makeup_id:
            meant &= Q(makeup=obj.makeup_id)
        return Machine.objects.filter(meant).values_list("pk", flat=True)
