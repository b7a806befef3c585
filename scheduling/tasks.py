"""What the queue calls: an id in, one call, nothing else."""

from celery import shared_task
from django.utils import timezone

from scheduling.actions import first_plans
from scheduling.notices import late_letters, override_letters
from scheduling.outbox import entries
from scheduling.worker import follow_facts as follow
from scheduling.worker import night_hours as nights_of_shops
from scheduling.worker import perform


@shared_task
def sweep() -> int:
    """Ask for first plans, owe looks, tell of overrides and what is late; ring for what is owed."""
    now = timezone.now()
    first_plans.ask_first_plans(now)
    follow.follow_facts(now)
    override_letters.tell_of_overrides(now)
    late_letters.tell_of_late(now)
    return entries.sweep(now)


@shared_task
def nights() -> int:
    """Write down the nightly run of each shop whose hour has come."""
    return nights_of_shops.owe_nights(timezone.now())


@shared_task
def perform_entry(pk: int) -> bool:
    """Do one entry."""
    return perform.perform_entry(pk, timezone.now())
