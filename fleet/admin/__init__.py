"""Set-up sheets, one file a subject."""

from fleet.admin import capacity, machines, places, seasons, services
from fleet.admin.site import site

__all__ = ["capacity", "machines", "places", "seasons", "services", "site"]
