"""What there is to do: services that fall due within the plan's reach, and defects."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from django.db.models import Q

from fleet.models import Alteration, Finding, Machine, Shop, WorkEstimate
from fleet.queries.covered_services import CoveredServices, covered_services
from fleet.queries.minutes_taken import MinutesTaken
from fleet.work_keys import repair_key, service_key
from scheduling.models import Block, DuePoint, State
from scheduling.plan.begun import Begun, Word, begun, load_words
from scheduling.plan.horizon import ANY_SKILL, Horizon

MARGIN_DAYS = 14
"""Days past the horizon up to which due work is looked at: it may be worth pulling forward."""

LONGEST_PAST = 60
"""Days; how long ago something fell due hardly matters beyond this."""

SHARE_EARLY = 0.1
"""Share of its interval by which a service that covers another is done early for its sake: the
usual window of a service (common practice: 10 percent)."""

FAR_DAYS = 130.0
"""Days ahead that stand for "beyond 120 days"."""

MONTH_DAYS = 30.44
"""Mean length of a month (Gregorian calendar)."""

HARD_COST = 60.0
"""Least money a day past a hard limit (common practice: as a statutory inspection)."""

GRAVITY_COST = {Finding.Gravity.DEFECT: 15.0, Finding.Gravity.UNSAFE: 60.0}
"""Money a day that a defect waits (our judgement, between oil and brakes)."""


@dataclass(frozen=True)
class WorkToPlan:
    """One service or repair to plan; due: days from today at which it is due, p10, p50, p90.

    minutes: those that are left, of work under way; second: minutes and skill of a second person.
    code: that of the service; makeup: that of the machine.  covers: titles of what is left out
    since this does it.  interval_days: about how long its interval lasts.
    """

    key: str
    title: str
    machine: int
    minutes: int
    skill: str
    due: tuple[float, float, float]
    overdue_cost: float
    waste_cost: float = 0.0
    limit_day: int | None = None
    past_limit: bool = False
    blocks_rental: bool = False
    service: int | None = None
    makeup: int = 0
    code: str = ""
    finding: int | None = None
    due_point: int | None = None
    covers: tuple[str, ...] = field(default=())
    interval_days: float = 0.0
    second: tuple[int, str] | None = None
    several_days: bool = False
    begun: Begun | None = None

    @property
    def turn(self) -> tuple[bool, int, str, str]:
        """What settles a tie: repairs first, a machine's services by code.

        The key comes last: which number the row of a service got says nothing about the service.
        """
        return self.finding is None, self.machine, self.code, self.key


@dataclass(frozen=True)
class _Known:
    """What bears on services beside their due points."""

    pinned: set[str]
    words: dict[str, list[Word]]
    slowed: dict[tuple[int, int], int]
    limits: dict[int, int]
    taken: MinutesTaken


def load_work(shop: Shop, horizon: Horizon, now: datetime, pinned: set[str]) -> list[WorkToPlan]:
    """Load the shop's work, with nine queries; pinned: keys that are planned however far off."""
    words = load_words(shop, now)
    makeups = Machine.objects.filter(yard__shop=shop).values("makeup")
    taken = MinutesTaken(makeups)
    known = _Known(pinned, words, _slowed(shop), _limits(shop, horizon), taken)
    services = _services(shop, horizon, known)
    alone = pinned | {work.key for work in services if work.begun}
    repairs = _repairs(shop, horizon, now, words)
    said = _estimates(shop)
    found = [_estimated(work, said) for work in (*_merged(services, alone), *repairs)]
    return sorted(found, key=lambda work: work.turn)


def _estimates(shop: Shop) -> dict[str, tuple[int, date]]:
    """Return how many minutes work takes this time, and the day on which that was said, by key."""
    rows = WorkEstimate.objects.filter(machine__yard__shop=shop, lifted_at=None)
    return {
        key: (minutes, at.astimezone(shop.zone).date())
        for key, minutes, at in rows.values_list("work_key", "minutes", "at")
    }


def _estimated(work: WorkToPlan, said: dict[str, tuple[int, date]]) -> WorkToPlan:
    """Return work as long as somebody says; what is left of work begun since wins over that."""
    minutes, day = said.get(work.key, (work.minutes, None))
    if day is not None and work.begun is not None and work.begun.day >= day:
        return work
    return replace(work, minutes=minutes)


def _services(shop: Shop, horizon: Horizon, known: _Known) -> list[WorkToPlan]:
    rows = DuePoint.objects.filter(machine__yard__shop=shop).values(
        "pk", "machine_id", "machine__makeup_id", "machine__duty_factor",
        "machine__yard__duty_factor", "service_id", "service__code", "service__name",
        "service__minutes", "service__skill__name", "service__blocks_rental",
        "service__overdue_cost_per_day", "service__value", "state", "hard", "p10", "p50", "p90",
        "due_day", "remaining", "rate_per_day", "interval__every", "interval__every_months",
        "interval__every_days", "service__second_minutes", "service__second_skill__name",
        "service__several_days", "last_done_on",
    )  # fmt: skip
    found = []
    for row in rows.order_by("pk"):
        due = due_days(row, horizon)
        key = service_key(row["machine_id"], row["service_id"])
        near = due is not None and due[1] < horizon.days + MARGIN_DAYS
        under_way = begun(known.words.get(key, ()), row["last_done_on"])
        if near or under_way or key in known.pinned:
            extra = known.slowed.get((row["machine_id"], row["service_id"]), 0)
            spread = due or (FAR_DAYS, FAR_DAYS, FAR_DAYS)
            learnt = known.taken.of(
                row["service_id"], row["machine__makeup_id"], row["service__minutes"]
            )
            takes = learnt.minutes + extra
            work = _service(row, key, spread, takes, known.limits.get(row["pk"]))
            found.append(_under_way(work, under_way))
    return found


def _under_way(work: WorkToPlan, under_way: Begun | None) -> WorkToPlan:
    """Return work with the minutes that are left; what goes on once may go on again."""
    if under_way is None:
        return work
    left = under_way.minutes_left
    second = work.second and (min(work.second[0], left), work.second[1])
    return replace(work, begun=under_way, minutes=left, second=second, several_days=True)


def _second(row: Mapping[str, Any], prefix: str = "") -> tuple[int, str] | None:
    """Return minutes and skill of a second person, if the work needs one."""
    minutes = row[f"{prefix}second_minutes"]
    return (minutes, row[f"{prefix}second_skill__name"] or ANY_SKILL) if minutes else None


def _slowed(shop: Shop) -> dict[tuple[int, int], int]:
    """Return minutes that alterations add, by machine and service."""
    slowed: dict[tuple[int, int], int] = {}
    rows = Alteration.objects.filter(machine__yard__shop=shop, slows__isnull=False)
    for machine, service, extra in rows.values_list("machine_id", "slows_id", "extra_minutes"):
        slowed[machine, service] = slowed.get((machine, service), 0) + extra
    return slowed


def _limits(shop: Shop, horizon: Horizon) -> dict[int, int]:
    """Return the last day on which each hard service may still be done, by due point."""
    rows = Block.objects.filter(machine__yard__shop=shop, hard=True, due_point__isnull=False)
    return {pk: horizon.number(day) - 1 for pk, day in rows.values_list("due_point", "first_day")}


def due_days(row: Mapping[str, Any], horizon: Horizon) -> tuple[float, float, float] | None:
    """Return days from today at which a due point is reached; None where nothing is known.

    What is past its due point lies behind today by its date, or by what it ran too long.
    """
    if row["p50"] is None and row["state"] in (State.CLEAR, State.UNKNOWN):
        return None
    days = [FAR_DAYS if row[q] is None else horizon.number(row[q]) for q in ("p10", "p50", "p90")]
    if days[1] <= 0:
        days = [min(day, -_days_past(row, horizon)) for day in days]
    return days[0], max(days[0], days[1]), max(days[0], days[1], days[2])


def _days_past(row: Mapping[str, Any], horizon: Horizon) -> float:
    by_date = -horizon.number(row["due_day"]) if row["due_day"] else 0
    by_use = 0.0
    if row["remaining"] is not None and row["remaining"] < 0 and row["rate_per_day"]:
        by_use = -row["remaining"] / row["rate_per_day"]
    return round(min(max(by_date, by_use, 0.0), LONGEST_PAST), 2)


def _service(
    row: Mapping[str, Any], key: str, due: tuple[float, float, float], takes: int, limit: int | None
) -> WorkToPlan:
    cost = row["service__overdue_cost_per_day"]
    return WorkToPlan(
        key=key,
        title=row["service__name"],
        machine=row["machine_id"],
        minutes=takes,
        skill=row["service__skill__name"] or ANY_SKILL,
        due=due,
        overdue_cost=max(cost, HARD_COST) if row["hard"] else cost,
        waste_cost=round(row["service__value"] / interval_days(row), 4),
        limit_day=limit if limit is not None and limit >= 0 else None,
        past_limit=limit is not None and limit < 0,
        blocks_rental=row["service__blocks_rental"] or row["hard"],
        service=row["service_id"],
        makeup=row["machine__makeup_id"],
        code=row["service__code"],
        due_point=row["pk"],
        second=_second(row, "service__"),
        several_days=row["service__several_days"],
        interval_days=interval_days(row),
    )


def interval_days(row: Mapping[str, Any]) -> float:
    """Return about how many days an interval lasts; a year where nothing tells."""
    duty = row["machine__duty_factor"] * row["machine__yard__duty_factor"]
    sides = [
        (row["interval__every_months"] or 0) * MONTH_DAYS,
        row["interval__every_days"] or 0,
        (row["interval__every"] or 0) * duty / max(row["rate_per_day"] or 0, 1e-6),
    ]
    return float(min((days for days in sides if 1 <= days < 3650), default=365.0))


def _merged(services: list[WorkToPlan], pinned: set[str]) -> list[WorkToPlan]:
    """Leave out what another service of the machine, due at about that time, covers.

    The one that covers then has to be done by the earlier of the two due points.  Where it is due
    much later both stay, and `sequence` keeps them apart, the covered one first.
    """
    covered = covered_services()
    by_machine: dict[int, list[WorkToPlan]] = {}
    for work in services:
        by_machine.setdefault(work.machine, []).append(work)
    kept: list[WorkToPlan] = []
    for group in by_machine.values():
        rest = sorted(group, key=lambda w: (-len(covered.of(w.makeup, w.service)), w.turn))
        while rest:
            upper = rest.pop(0)
            lower = [w for w in rest if _done_with(upper, w, covered) and w.key not in pinned]
            rest = [w for w in rest if w not in lower]
            kept.append(_joint(upper, lower))
    return kept


def _done_with(upper: WorkToPlan, lower: WorkToPlan, covered: CoveredServices) -> bool:
    early = max(MARGIN_DAYS, SHARE_EARLY * upper.interval_days)
    near = upper.due[1] - lower.due[1] <= early
    return near and lower.service in covered.of(upper.makeup, upper.service)


def _joint(upper: WorkToPlan, lower: list[WorkToPlan]) -> WorkToPlan:
    group = [upper, *lower]
    due = tuple(min(work.due[q] for work in group) for q in range(3))
    limits = [work.limit_day for work in group if work.limit_day is not None]
    return replace(
        upper,
        due=(due[0], due[1], due[2]),
        overdue_cost=max(work.overdue_cost for work in group),
        limit_day=min(limits, default=None),
        past_limit=any(work.past_limit for work in group),
        blocks_rental=any(work.blocks_rental for work in group),
        covers=tuple(work.title for work in lower),
    )


def _repairs(
    shop: Shop, horizon: Horizon, now: datetime, words: dict[str, list[Word]]
) -> list[WorkToPlan]:
    """Return findings that need work; one that calls for a service is done with that service."""
    rows = Finding.objects.filter(
        Q(settled_at=None) | Q(settled_at__gt=now),
        Q(machine__retired_on=None) | Q(machine__retired_on__gt=horizon.first),
        machine__yard__shop=shop, calls_for=None,
        gravity__in=list(GRAVITY_COST), seen_at__lte=now,
    )  # fmt: skip
    fields = (
        "pk", "machine_id", "text", "gravity", "minutes", "skill__name", "seen_at",
        "second_minutes", "second_skill__name", "several_days",
    )  # fmt: skip
    repairs = [_repair(row, horizon, shop) for row in rows.order_by("pk").values(*fields)]
    return [_under_way(work, begun(words.get(work.key, ()), None)) for work in repairs]


def _repair(row: Mapping[str, Any], horizon: Horizon, shop: Shop) -> WorkToPlan:
    seen = horizon.number(row["seen_at"].astimezone(shop.zone).date())
    day = float(max(min(seen, 0), -LONGEST_PAST))
    return WorkToPlan(
        key=repair_key(row["pk"]),
        title=row["text"].rstrip(". "),  # sentences about it end by themselves
        machine=row["machine_id"],
        minutes=row["minutes"],
        skill=row["skill__name"] or ANY_SKILL,
        due=(day, day, day),
        overdue_cost=GRAVITY_COST[row["gravity"]],
        blocks_rental=row["gravity"] == Finding.Gravity.UNSAFE,
        finding=row["pk"],
        second=_second(row),
        several_days=row["several_days"],
    )
