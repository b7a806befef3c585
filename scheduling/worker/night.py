"""The nightly run of one shop: forecasts and blocks, figures, plan, notices, tidying, in order.

The plan stands on the due points of this night and the notices on both.  A stage that fails says
so in the report and the rest goes on with what there is: a list from yesterday's plan is better
than none.  Run twice, the second run finds everything as it should be and changes nothing.
"""

import logging
from collections.abc import Callable
from dataclasses import asdict
from datetime import date, datetime, time, timedelta
from functools import partial
from time import perf_counter
from typing import Any

from fleet.actions.answer_once import forget_answers
from fleet.actions.press_once import forget_presses
from fleet.models import Machine, Person, Shop
from scheduling.due.refresh import refresh
from scheduling.facts.load_once import LoadOnce
from scheduling.hindsight.forecast_night import keep_and_settle
from scheduling.hindsight.judged_forecasts import forget_old
from scheduling.hindsight.list_keeping import keep_list
from scheduling.hindsight.schedule_months import measure_schedule_compliance
from scheduling.hindsight.service_compliance import measure_compliance
from scheduling.models import NightlyRun, PlanSearch
from scheduling.notices.day_list import make_day_lists
from scheduling.notices.morning import make_morning
from scheduling.notices.night_news import tell_night_news
from scheduling.notices.risk_warnings import warn_of_risks
from scheduling.notices.wait_letters import tell_of_waits
from scheduling.outbox.entries import forget_done
from scheduling.plan import plan_shop, searches
from scheduling.queries.services_on_time import as_counts
from scheduling.worker.missed_lists import keep_missed_lists
from scheduling.worker.night_hours import broken_zone, night_of
from scheduling.worker.went_wrong import say_why

logger = logging.getLogger(__name__)

Tell = Callable[[str], None]
"""Hears one short sentence at the start of each stage."""

Counts = dict[str, Any]


PLAN_SECONDS = 20.0
"""How long the night looks for a better plan at most: nobody waits for it."""

PLAN_SECONDS_A_PIECE = 0.08
"""The same for each piece of work: 850 pieces at 21 mechanics want a minute and more."""


def run_night(
    shop: Shop, now: datetime, tell: Tell | None = None, plan_seconds: float | None = None
) -> dict[str, Any]:
    """Run every stage for a shop; return what each did, in counts and seconds.

    plan_seconds: wall clock for the search of the plan; None: as many as its size asks for.  ok:
    no stage failed.  missing: what the shop lacks, in sentences.  The run is kept as one row a day
    of the shop, which shows the stage it is at.
    """
    began = perf_counter()
    day = now.astimezone(shop.zone).date()
    run, _ = NightlyRun.objects.update_or_create(
        shop=shop, day=day, defaults={"started_at": now, "finished_at": None}
    )
    done = {}
    for name, (words, stage) in stages(plan_seconds).items():
        NightlyRun.objects.filter(pk=run.pk).update(stage=words)
        if tell:
            tell(f"{shop}: {words}")
        done[name] = _timed(name, stage, shop, now)
    report = _report(shop, day, done, perf_counter() - began)
    ended = now + timedelta(seconds=report["seconds"])
    NightlyRun.objects.filter(pk=run.pk).update(finished_at=ended, stage="", report=report)
    return report


def day_ahead(shop: Shop, now: datetime) -> date:
    """Return the day that the mechanics' lists are for.

    A night whose hour is in the afternoon or evening prepares the next day, one in the morning the
    same; one that is run late prepares the day that has begun meanwhile.
    """
    night = night_of(shop, now)
    ahead = night + timedelta(days=1) if shop.nightly_at >= time(12) else night
    return max(ahead, now.astimezone(shop.zone).date())


def _timed(
    name: str, stage: Callable[[Shop, datetime], Counts], shop: Shop, now: datetime
) -> Counts:
    """Run one stage; a failure becomes part of the report, with its full story in the log."""
    began = perf_counter()
    try:
        counts = stage(shop, now)
    except Exception as error:  # the rest of the night must go on
        logger.exception("The stage %s of the nightly run of %s failed.", name, shop)
        counts = {"failed": say_why(error)}
    return {**counts, "seconds": round(perf_counter() - began, 3)}


def _missed(shop: Shop, now: datetime) -> Counts:
    return {"lists_kept": keep_missed_lists(shop, day_ahead(shop, now), now)}


def _refresh(once: LoadOnce, shop: Shop, now: datetime) -> Counts:
    counts = refresh(None, now, shop=shop, refit=True, load=once).as_dict()
    return {"steps" if key == "seconds" else key: value for key, value in counts.items()}


def _plan(seconds: float | None, shop: Shop, now: datetime) -> Counts:
    searches.close_open(shop, PlanSearch.Cause.NIGHT, now)
    search = PlanSearch.objects.create(
        shop=shop, cause=PlanSearch.Cause.NIGHT, asked_at=now, stage="the plan of the shop days"
    )
    with searches.begun(search, now) as running:
        by_size = seconds is None
        report = plan_shop(
            shop,
            now,
            PLAN_SECONDS if seconds is None else seconds,
            running.tell,
            a_piece=PLAN_SECONDS_A_PIECE if by_size else 0.0,
        )
        running.said = " ".join(["Planned in the nightly run.", *report.cannot_keep])
    return report.as_dict()


def _lists(shop: Shop, now: datetime) -> Counts:
    """Keep the list of the day ahead, then count what became of the lists of twelve months."""
    kept = keep_list(shop, day_ahead(shop, now), now)
    months = [month.as_counts() for month in measure_schedule_compliance(shop, now)]
    return {"kept": kept or 0, "months": months}


def _notices(shop: Shop, now: datetime) -> Counts:
    day = day_ahead(shop, now)
    return {
        "warnings": warn_of_risks(shop, now),
        "free": tell_of_waits(shop, now),
        "summaries": make_morning(shop, now, day),
        "lists": make_day_lists(shop, now, day),
        "news": tell_night_news(shop, day, now),
    }


def _forecasts(once: LoadOnce, shop: Shop, now: datetime) -> Counts:
    return asdict(keep_and_settle(shop, now, once))


def _compliance(once: LoadOnce, shop: Shop, now: datetime) -> Counts:
    counts = as_counts(measure_compliance(shop, now, once))
    once.forget()  # the search for a plan, which comes next, needs the room
    return counts


def _tidy(shop: Shop, now: datetime) -> Counts:
    return {
        "answers_forgotten": forget_answers(now),
        "entries_forgotten": forget_done(now),
        "presses_forgotten": forget_presses(now),
        "searches_forgotten": searches.forget_old(now),
        "forecasts_forgotten": forget_old(now.astimezone(shop.zone).date()),
    }


def stages(plan_seconds: float | None) -> dict[str, tuple[str, Callable[[Shop, datetime], Counts]]]:
    """Return by name of a stage what is said of it and what it does, in their order."""
    once = LoadOnce()
    return {
        "missed": ("lists of days that were missed", _missed),
        "refresh": ("forecasts, due points and blocks", partial(_refresh, once)),
        "forecasts": ("forecasts kept and scored", partial(_forecasts, once)),
        "compliance": ("services done in time", partial(_compliance, once)),
        "plan": ("plan of the shop days", partial(_plan, plan_seconds)),
        "lists": ("lists kept, and what became of them", _lists),
        "notices": ("notices", _notices),
        "tidy": ("tidying", _tidy),
    }


def _report(shop: Shop, day: date, done: dict[str, Counts], seconds: float) -> dict[str, Any]:
    """Put the report together; what is missing is taken out of the stages and said once."""
    missing = _lacks(shop)
    for counts in done.values():
        missing += [said for said in counts.pop("missing", []) if said not in missing]
    return {
        "shop": str(shop),
        "day": day.isoformat(),
        "ok": not any("failed" in counts for counts in done.values()),
        "seconds": round(seconds, 3),
        "missing": missing,
        "stages": done,
    }


def _lacks(shop: Shop) -> list[str]:
    """Say what a shop needs before a night can do anything for it."""
    lacks = [said] if (said := broken_zone(shop)) else []
    if not Machine.objects.filter(yard__shop=shop, retired_on=None).exists():
        lacks.append("No machine yet: add the first one under Set-up.")
    if not Person.objects.filter(is_active=True, shop=shop).exists():
        lacks.append("Nobody belongs to this shop yet: add its people under Set-up.")
    return lacks
