"""The half of the site that holds facts."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from fleet.migrations._never_twice import see_to_it


class FleetConfig(AppConfig):
    """Facts: machines, meters, readings, the service book, bookings, people."""

    name = "fleet"
    verbose_name = "Fleet"

    def ready(self) -> None:
        """Load the Celery application, so that shared tasks bind to it in every process."""
        from fleet import celery  # noqa: F401, PLC0415  apps must be loaded first

        post_migrate.connect(see_to_it, sender=self)
