"""A shop's plan as days of its mechanics: what a calendar says of each."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256

from django.db.models import Q

from fleet.models import Person, Shop
from fleet.saying import counted, say_minutes
from scheduling.models import Plan, PlannedJob


@dataclass(frozen=True)
class ShopDayEvent:
    """One mechanic's shop day: its jobs in order, each as a line; minutes of all; which shop."""

    mechanic: Person
    day: date
    tags: tuple[str, ...]
    lines: tuple[str, ...]
    minutes: int
    published: bool
    place: str = ""

    @property
    def summary(self) -> str:
        """Say the day in a line: "4 machines, 6 h 30 min: Q-1, SS-2 ..."."""
        machines = counted(len(self.tags), "machine")
        return f"{machines}, {say_minutes(self.minutes)}: {', '.join(self.tags)}"

    @property
    def digest(self) -> str:
        """Return a digest of what is said, to tell a revision from a repetition."""
        said = [self.lines, self.minutes, self.published, str(self.mechanic), self.place]
        return sha256(json.dumps(said).encode()).hexdigest()


def mechanic_days(shop: Shop) -> list[ShopDayEvent]:
    """Return the days of a shop's plan with work on them; five queries however many there are."""
    plan = Plan.objects.filter(shop=shop).first()
    if plan is None:
        return []
    release = shop.releases.first()
    span = (release.first_day, release.last_day) if release else (date.max, date.min)
    jobs = (
        PlannedJob.objects.filter(plan=plan)
        .select_related(
            "plan__shop", "mechanic", "second", "machine__yard", "machine__makeup__machine_class"
        )
        .prefetch_related("work__service", "work__finding")
        .order_by("day", "position", "pk")
    )
    parts: dict[tuple[date, int], list[tuple[PlannedJob, int, bool]]] = {}
    for job in jobs:
        for day, minutes in job.minutes_by_day().items():
            parts.setdefault((day, job.mechanic_id), []).append((job, minutes, False))
        if job.second_id:
            helped = parts.setdefault((job.day, job.second_id), [])
            helped.append((job, job.second_minutes, True))
    return [
        _day(day, each, span[0] <= day <= span[1])
        for (day, _), each in sorted(parts.items(), key=lambda item: item[0])
    ]


def plan_made_at(shop: Shop) -> datetime | None:
    """Return when a shop's plan was made; None where it has none yet."""
    plan = Plan.objects.filter(shop=shop).first()
    return plan.made_at if plan else None


def days_of(person: Person) -> list[ShopDayEvent]:
    """Return one person's days, in their own shop and wherever they are lent to."""
    busy = Q(plan__jobs__mechanic=person) | Q(plan__jobs__second=person)
    shops = Shop.objects.filter(busy).distinct().order_by("pk")
    days = [day for shop in shops for day in mechanic_days(shop) if day.mechanic.pk == person.pk]
    return sorted(days, key=lambda each: each.day)


def _day(day: date, jobs: Sequence[tuple[PlannedJob, int, bool]], published: bool) -> ShopDayEvent:
    job, _, helps = jobs[0]
    return ShopDayEvent(
        mechanic=job.second if helps and job.second else job.mechanic,
        day=day,
        tags=tuple(job.machine.tag for job, _, _ in jobs),
        lines=tuple(_lines(jobs, day)),
        minutes=sum(minutes for _, minutes, _ in jobs),
        published=published,
        place=job.plan.shop.name,
    )


def _lines(jobs: Iterable[tuple[PlannedJob, int, bool]], day: date) -> Iterable[str]:
    for number, (job, minutes, helps) in enumerate(jobs, start=1):
        machine = f"{job.machine.tag} ({job.machine.makeup.machine_class}, {job.machine.makeup})"
        work = "; ".join(each.title for each in job.work.all())
        more = f", with {job.mechanic}" if helps else ""
        if job.ends > day:
            more += f", goes on to {job.ends:%a} {job.ends.day} {job.ends:%b}"
        where = f", at {job.machine.yard}" if job.machine.yard.remote else ""
        yield f"{number}. {machine}{where}: {work}{more}; {say_minutes(minutes)}"
