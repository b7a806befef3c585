"""How many services were done in time, month by month: facts in, the core's judgement, counts."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from fleet.charts import MonthShare
from fleet.models import Shop
from scheduling.core.intervals import judge_on_time
from scheduling.due.learning import kept_lessons
from scheduling.due.line_rules import line_rules
from scheduling.due.lines import lives_at_records, make_lines, services_done
from scheduling.due.meter_use import kind_use
from scheduling.due.refresh import Load
from scheduling.facts.load_facts import load_facts
from scheduling.facts.scope import Scope

MONTHS = 12


@dataclass(frozen=True)
class OnTimeYear:
    """Twelve months of services, and the day of the first that could be judged, if any."""

    months: list[MonthShare]
    since: date | None


def last_months(today: date, months: int = MONTHS) -> list[date]:
    """Return the first days of so many months, this one the last."""
    count = today.year * 12 + today.month - 1
    return [date((count - n) // 12, (count - n) % 12 + 1, 1) for n in reversed(range(months))]


def measure_compliance(shop: Shop, now: datetime, load: Load = load_facts) -> OnTimeYear:
    """Judge the services of a shop's working machines over the last twelve months.

    Services that another one covers count with it.  A shop that has learnt nothing yet is judged
    on the calendar alone.  The first entry of a service of a machine counts neither way.
    """
    firsts = last_months(now.astimezone(shop.zone).date())
    facts = load(Scope.of(shop.pk), now)
    lessons = kept_lessons(shop.pk, facts.use.meters)
    uses = {
        kind: kind_use(facts.use, facts.use.meters[kind], lesson)
        for kind, lesson in lessons.items()
    }
    lines = make_lines(facts, uses)
    rules = line_rules(facts, lines, uses)
    lives = {kind: lives_at_records(facts, use) for kind, use in uses.items()}
    done, _ = services_done(facts, lines, lives)
    judged = judge_on_time(rules.meter, rules.calendar, done, np.datetime64(firsts[0], "D"))
    month = judged.day.astype("datetime64[M]").astype("datetime64[D]").tolist()
    every, in_time = Counter(month), Counter(np.array(month)[judged.on_time].tolist())
    since = judged.day.min().item() if judged.day.size else None
    return OnTimeYear([MonthShare(first, in_time[first], every[first]) for first in firsts], since)
