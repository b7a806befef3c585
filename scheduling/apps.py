"""The half of the site that holds what follows from the facts."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Consequences: due points, forecasts, blocks, plans, batch lists, notices."""

    name = "scheduling"
    verbose_name = "Scheduling"
