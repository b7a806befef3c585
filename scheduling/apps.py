"""The half of the site that holds what follows from the facts."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Consequences: due points, forecasts, blocks, plans, batch lists, notices."""

    name = "scheduling"
    verbose_name = "Scheduling"

    def ready(self) -> None:
        """Listen for changed facts."""
        # models can be imported only now
        from scheduling.worker import receivers  # noqa: PLC0415  apps must be loaded first

        receivers.connect()
