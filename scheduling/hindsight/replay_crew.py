"""Who worked in a shop on the days of a past, and when each absence became known."""

from datetime import date

from fleet.models import Absence, Shop
from scheduling.core.replay import AwaySpan, PastCrew, PastPerson
from scheduling.hindsight.replay_bookings import Moments
from scheduling.plan.horizon import load_days
from scheduling.plan.workers import Crew, load_crew, workers_of


def crew_lived(shop: Shop, first: date, count: int, moments: Moments) -> PastCrew:
    """Load the people of `count` days, with twelve queries.

    Skills, weeks and opening hours are those on record today; an absence counts as known from when
    it was entered, or from its first day where nobody noted that.
    """
    horizon = load_days(shop, first, count)
    crew = load_crew(shop, horizon)
    there = Crew(crew.people, crew.week, {}, crew.held, crew.stints)
    workers = workers_of(there, horizon)
    rows: dict[int, list[int]] = {}
    for number, worker in enumerate(workers):
        rows.setdefault(worker.pk, []).append(number)
    return PastCrew(
        tuple(PastPerson(w.username, frozenset(w.skills), w.hours) for w in workers),
        tuple(_away(rows, moments)),
        shop.overtime_limit_hours,
        shop.overtime_cost_per_hour,
    )


def _away(rows: dict[int, list[int]], moments: Moments) -> list[AwaySpan]:
    found = []
    spans = Absence.objects.filter(person__in=rows).order_by("pk")
    for person, first, last, at in spans.values_list("person_id", "first_day", "last_day", "at"):
        begin = moments.day(first)
        known = float(begin) if at is None else min(moments.of(at), float(begin))
        found += [AwaySpan(row, begin, moments.day(last), known) for row in rows[person]]
    return found
