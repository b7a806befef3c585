"""The half of the site that holds facts."""

from django.apps import AppConfig


class FleetConfig(AppConfig):
    """Facts: machines, meters, readings, the service book, bookings, people."""

    name = "fleet"
    verbose_name = "Fleet"

    def ready(self) -> None:
        """Load the Celery application, so that shared tasks bind to it in every process."""
        from fleet import celery  # noqa: F401, PLC0415  apps must be loaded first
