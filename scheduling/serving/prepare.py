"""Prepare the demo: database, fleet, the days since, the nightly run."""

from collections.abc import Callable
from datetime import date, datetime

from django.core.management import call_command

from fleet.demo.load_fleet import Wanted, load
from fleet.demo.loaded_demo import loaded_demo
from fleet.demo.roll import roll
from fleet.demo.scenario import zone
from fleet.models import Shop
from fleet.queries.tables_behind import changes_to_come
from scheduling.hindsight.backtest import backtest, whole_year
from scheduling.models import KeptForecast, NightlyRun
from scheduling.worker.night import run_night

Tell = Callable[[str], None]

PLAN_SECONDS = 8.0
"""How long a better plan is looked for before the demo's pages open; a person waits for them."""


def migrate(tell: Tell) -> None:
    """Bring the tables up to date."""
    owed = changes_to_come()
    tell(f"{len(owed)} changes of the tables" if owed else "as it should be")
    call_command("migrate", verbosity=0, interactive=False)


def fleet(now: datetime, tell: Tell) -> None:
    """Load the demo fleet once.

    Raises:
        NotEmptyError: there are machines that are not of the demo.

    """
    mark = loaded_demo()
    if mark:
        tell(f"here already, {mark.machines} machines")
        return
    wanted = Wanted(_today(now))
    readings = load(wanted, lambda done, total: tell(f"{done} of {total} machines"))
    tell(f"{readings:,} readings")


def days_since(now: datetime, tell: Tell) -> int:
    """Live the demo through the days since it was last up, so that it is alive today."""
    days = roll(_today(now))
    tell(f"{days} lived through" if days else "up to today")
    return days


def past_forecasts(now: datetime, tell: Tell) -> None:
    """Go once through the nights of the past year, so that it shows how good the dates were."""
    for shop in Shop.objects.all():
        if KeptForecast.objects.filter(machine__yard__shop=shop).exists():
            tell("here already")
            continue
        first = whole_year(now.astimezone(shop.zone).date())
        kept = backtest(shop, now, first, tell=lambda done, all_: tell(f"{done} of {all_} nights"))
        tell(f"{kept:,} kept")


def nights(now: datetime, tell: Tell, *, anew: bool = False) -> None:
    """Run the nightly run of each shop that has not had a good one today, or of all anew."""
    for shop in Shop.objects.all():
        day = now.astimezone(shop.zone).date()
        done = NightlyRun.objects.filter(
            shop=shop, day=day, finished_at__isnull=False, report__ok=True
        )
        if anew or not done.exists():
            run_night(shop, now, tell, PLAN_SECONDS)


def _today(now: datetime) -> date:
    """The day that it is at the demo's shop."""
    return now.astimezone(zone()).date()
