"""Set-up sheets, one file a subject."""

from fleet.admin import machines, places, services
from fleet.admin.site import site

__all__ = ["machines", "places", "services", "site"]
