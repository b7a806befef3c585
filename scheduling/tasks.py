"""What the queue calls: an id in, one call, nothing else."""

from celery import shared_task
from django.utils import timezone

from scheduling import errands, running
from scheduling import nights as nights_of_shops


@shared_task
def sweep() -> int:
    """Ring for what is owed and was not heard."""
    return errands.sweep(timezone.now())


@shared_task
def nights() -> int:
    """Write down the nightly run of each shop whose hour has come."""
    return nights_of_shops.owe_nights(timezone.now())


@shared_task
def run_errand(pk: int) -> bool:
    """Do one errand."""
    return running.run_errand(pk, timezone.now())
