"""Set-up sheets, one file a subject."""

from fleet.admin import machines, places, seasons, services
from fleet.admin.site import site

__all__ = ["machines", "places", "seasons", "services", "site"]
