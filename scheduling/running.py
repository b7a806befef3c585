"""What a worker does for each kind of errand: claim it, do it, say how it went."""

import logging
from collections.abc import Callable
from datetime import datetime

from fleet.models import Shop
from scheduling.actions.replan import do_replan
from scheduling.actions.trials import do_trial
from scheduling.errands import TryAgain, back_off, claim, finish
from scheduling.models import Errand, NightlyRun, PlanSearch
from scheduling.nightly import run_night
from scheduling.notices.risks import warn_of_risks
from scheduling.notices.send import send_owed
from scheduling.refresh import refresh

logger = logging.getLogger(__name__)


def run_errand(pk: int, now: datetime) -> bool:
    """Do one errand if it is owed and free; True where it was done and settled by this call.

    Whatever goes wrong moves its due time and is logged: the errand itself is never lost.
    """
    errand = claim(pk, now)
    if errand is None:
        return False
    try:
        return DO[Errand.Kind(errand.kind)](errand, now)
    except TryAgain as error:
        logger.warning("%s has to wait: %s", errand.key, error)
        back_off(errand, now, str(error))
    except Exception as error:
        logger.exception("%s failed and will be tried again.", errand.key)
        back_off(errand, now, f"{type(error).__name__}: {error}")
    return False


def _nightly(errand: Errand, now: datetime) -> bool:
    """Run the night of a shop, unless a good run began after this errand was written down."""
    shop = Shop.objects.filter(pk=errand.payload["shop"]).first()
    if shop is None or _has_run(shop, errand):
        return finish(errand, now)
    report = run_night(shop, now)
    if not report["ok"]:
        failed = [f"{name}: {s['failed']}" for name, s in report["stages"].items() if "failed" in s]
        raise TryAgain("; ".join(failed))
    return finish(errand, now)


def _has_run(shop: Shop, errand: Errand) -> bool:
    """Whether a night was run in full since; a machine that was off catches up once."""
    return NightlyRun.objects.filter(
        shop=shop, started_at__gte=errand.made_at, finished_at__isnull=False, report__ok=True
    ).exists()


def _refresh(errand: Errand, now: datetime) -> bool:
    """Re-compute machines whose facts changed, and warn of the bookings that this puts at risk."""
    machines = errand.payload["machines"]
    refresh(machines, now)
    for shop in Shop.objects.filter(yards__machines__in=machines).distinct():
        warn_of_risks(shop, now, machines)
    return finish(errand, now)


def _replan(errand: Errand, now: datetime) -> bool:
    """Plan a shop again because a person asked."""
    search = _search(errand)
    if search is not None:
        do_replan(search, now)
    return finish(errand, now)


def _trial(errand: Errand, now: datetime) -> bool:
    """Work a trial out beside the real plan."""
    search = _search(errand)
    if search is not None:
        do_trial(search, now)
    return finish(errand, now)


def _search(errand: Errand) -> PlanSearch | None:
    """Return what an errand is about; None where it was dropped since."""
    rows = PlanSearch.objects.select_related("shop", "trial__shop", "trial__by")
    return rows.filter(pk=errand.payload["search"]).first()


DO: dict[Errand.Kind, Callable[[Errand, datetime], bool]] = {
    Errand.Kind.NIGHTLY: _nightly,
    Errand.Kind.REFRESH: _refresh,
    Errand.Kind.SEND: send_owed,
    Errand.Kind.REPLAN: _replan,
    Errand.Kind.TRIAL: _trial,
}
