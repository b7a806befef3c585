"""The differences that a trial makes, as plain values that a page shows without asking again."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings

from fleet.models import Booking
from fleet.saying import counted, say_money, say_span
from scheduling.core.planner import Difference, Result, Spot
from scheduling.models.plans import TERM_NAMES
from scheduling.plan.plan_words import missing
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.unkept import cannot_keep
from scheduling.trial.change_words import say_changes, say_money_change, say_outcome
from scheduling.trial.changes import Change

CENT = 0.005


@dataclass(frozen=True)
class TrialOutcome:
    """What a trial came to: facts with the change, the plan found, and how it differs.

    whys: sentences on why each piece of work moves, the first the one that is shown at once, where
    that is known; anyway: pieces of work that would
    stand elsewhere without the change too; left_open: money that the best plans might still save.
    """

    changes: list[Change]
    facts: ShopFacts
    result: Result
    difference: Difference
    whys: dict[str, list[str]]
    anyway: int = 0
    left_open: float = 0.0


def shown(outcome: TrialOutcome) -> dict[str, Any]:
    """Return what the page of a trial shows, as plain JSON; at most one query."""
    difference, facts = outcome.difference, outcome.facts
    moved = [*difference.moved, *difference.planned, *difference.deferred]
    saved, lost = difference.lost_bookings
    return {
        "sentence": _sentence(outcome),
        "moves": sorted(
            (_move(each.task, each.before, each.after, outcome) for each in moved),
            key=lambda row: (row["before"] or row["after"] or {"day": ""})["day"],
        ),
        "kept": difference.kept,
        "anyway": outcome.anyway,
        "total": [round(difference.total.before, 2), round(difference.total.after, 2)],
        "money": [
            {"words": TERM_NAMES.get(term, term), "before": money.before, "after": money.after}
            for term, money in difference.money.items()
            if max(abs(money.before), abs(money.after)) >= CENT
        ],
        "overdue": [
            round(difference.overdue_days.before, 1),
            round(difference.overdue_days.after, 1),
        ],
        "lost": _bookings(lost, outcome),
        "saved": _bookings(saved, outcome),
        "cannot_keep": cannot_keep(outcome.result, facts),
        "missing": missing(facts),
        "gap": round(outcome.result.gap, 4),
    }


def _sentence(outcome: TrialOutcome) -> str:
    """Say it all in one sentence: with the change, what moves, what is lost, what it costs."""
    difference = outcome.difference
    saved, lost = difference.lost_bookings
    with_ = say_changes(outcome.changes, outcome.facts.horizon.first)
    head = f"With {with_}" if with_ else "To hold again"
    what = say_outcome(
        len(difference.moved) + len(difference.planned),
        len(difference.deferred),
        len(lost),
        len(saved),
    )
    size = say_money(abs(difference.total.by), settings.CURRENCY)
    money = say_money_change(difference.total.by, size)
    late, left = _days_late(difference.overdue_days.by), _left_open(outcome)
    return f"{head}, {what}; {money}{late}{left}."


def _left_open(outcome: TrialOutcome) -> str:
    """Say what the searches leave to be found, and where that is more than the answer."""
    total, left = outcome.difference.total, outcome.left_open
    if left < CENT:
        return ""
    if left >= min(total.before, total.after):
        return " (there was no time to tell how near the best either plan is)"
    money = say_money(left, settings.CURRENCY)
    if abs(total.by) > left:
        return f" (the search leaves {money} open)"
    return f" (cannot tell yet: the search leaves {money} open)"


def _days_late(by: float) -> str:
    if abs(by) < 0.05:
        return ""
    days = round(abs(by), 1)
    word, be = ("more" if by > 0 else "fewer"), ("is" if days == 1 else "are")
    return f", and {counted(days, 'day')} {word} overdue {be} expected"


def _move(
    task: str, before: Spot | None, after: Spot | None, outcome: TrialOutcome
) -> dict[str, Any]:
    work = next(each for each in outcome.facts.work if each.key == task)
    machine = outcome.facts.machines[work.machine]
    why = outcome.whys.get(task, [])
    return {
        "key": task,
        "tag": machine.tag,
        "title": work.title,
        "before": _place(before, outcome.facts),
        "after": _place(after, outcome.facts),
        "why": why[0] if why else "",
        "more": " ".join(why[1:]),
    }


def _place(spot: Spot | None, facts: ShopFacts) -> dict[str, str] | None:
    if spot is None:
        return None
    by_name = {worker.username: worker for worker in facts.workers}
    worker, helper = by_name.get(spot.mechanic or ""), by_name.get(spot.second or "")
    return {
        "day": facts.horizon.date(spot.day).isoformat(),
        "mechanic": worker.name if worker else spot.mechanic or "",
        "second": helper.name if helper else spot.second or "",
        "account": worker.account if worker else "",
    }


def _bookings(keys: tuple[str, ...], outcome: TrialOutcome) -> list[dict[str, str]]:
    """Name bookings by machine, customer and days; the ones that are tried have no row yet."""
    rows = {str(row.pk): row for row in _rows(keys)}
    return [_booking(key, rows.get(key), outcome) for key in keys]


def _rows(keys: tuple[str, ...]) -> list[Booking]:
    known = [int(key) for key in keys if int(key) > 0]
    return list(Booking.objects.filter(pk__in=known).select_related("machine")) if known else []


def _booking(key: str, row: Booking | None, outcome: TrialOutcome) -> dict[str, str]:
    today = outcome.facts.horizon.first
    if row is not None:
        days = say_span(row.first_day, row.last_day, today)
        return {"key": key, "words": f"{row.machine.tag} for {row.customer}, {days}"}
    for machine in outcome.facts.machines.values():
        for out in machine.outs:
            if str(out.pk) == key:
                days = say_span(_day(out.first, outcome), _day(out.last, outcome), today)
                return {"key": "", "words": f"{machine.tag}, the booking that is tried, {days}"}
    return {"key": "", "words": "a booking"}


def _day(number: int, outcome: TrialOutcome) -> date:
    return outcome.facts.horizon.date(number)
