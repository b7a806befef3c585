"""Set-up sheets, one file a subject."""

from fleet.admin import capacity_sheets, machine_sheets, place_sheets, season_sheets, service_sheets
from fleet.admin.set_up_site import site

__all__ = [
    "capacity_sheets",
    "machine_sheets",
    "place_sheets",
    "season_sheets",
    "service_sheets",
    "site",
]
