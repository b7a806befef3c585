"""What the queue calls: an id in, one call, nothing else."""

from celery import shared_task
from django.utils import timezone

from scheduling.worker import copy_night, perform, sweeping
from scheduling.worker import night_hours as nights_of_shops


@shared_task
def sweep() -> int:
    """Ask for first plans, owe looks, tell of overrides; ring for what is owed and not heard."""
    return sweeping.look_everywhere(timezone.now())


@shared_task
def nights() -> int:
    """Write down the nightly run of each shop whose hour has come, and the copy of the site."""
    now = timezone.now()
    copy_night.owe_copy(now)
    return nights_of_shops.owe_nights(now)


@shared_task
def perform_entry(pk: int) -> bool:
    """Do one entry, and keep hold of it while it is being done."""
    clock = timezone.now
    return perform.perform_entry(pk, clock(), clock)
