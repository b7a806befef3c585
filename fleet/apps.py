"""The half of the site that holds facts."""

from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate

from fleet.migrations._never_twice import see_to_it
from fleet.read_to_the_end import plan_for_all_rows


class FleetConfig(AppConfig):
    """Facts: machines, meters, readings, the service book, bookings, people."""

    name = "fleet"
    verbose_name = "Fleet"

    def ready(self) -> None:
        """Load the Celery application, so that shared tasks bind to it in every process."""
        from fleet import celery  # noqa: F401, PLC0415  apps must be loaded first

        connection_created.connect(plan_for_all_rows)
        post_migrate.connect(see_to_it, sender=self)
