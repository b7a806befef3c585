"""The plan by day and mechanic, with how full each is."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from django.db.models import Q

from fleet.models import Person, Pin, Release, Role, Shop
from fleet.queries.who_works import workers_at
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.plan.horizon import Horizon, load_days
from scheduling.plan.workers import load_workers
from scheduling.queries.batch_list import done_work, jobs_with_work
from scheduling.queries.keeps_up import keeps_up
from scheduling.queries.plan_loads import PlanLoads, plan_loads, with_skills
from scheduling.queries.shown_work import ShownJob, ShownWork
from scheduling.queries.unusual_days import otherwise


@dataclass(frozen=True)
class MechanicDay:
    """One mechanic on one day: jobs in order, minutes of work, minutes at hand.

    helps: jobs of others for which a second person is needed.  The minutes are those of all of
    them, with the ways to remote yards.
    """

    mechanic: Person
    jobs: list[ShownJob]
    room: float
    work: float
    helps: list[PlannedJob] = field(default_factory=list)

    @property
    def over(self) -> float:
        """Planned minutes beyond those at hand."""
        return max(0.0, self.work - self.room)

    @property
    def busy(self) -> bool:
        """Whether there is anything to do."""
        return bool(self.jobs or self.helps)


@dataclass(frozen=True)
class ShopDay:
    """One day of the shop; closed says why where it does not work, otherwise what is unusual."""

    day: date
    mechanics: list[MechanicDay]
    closed: str = ""
    published: bool = False
    otherwise: list[str] = field(default_factory=list)

    @property
    def busy(self) -> bool:
        """Whether anybody has anything to do."""
        return any(each.busy for each in self.mechanics)


@dataclass(frozen=True)
class ShopDays:
    """A shop's plan over some days."""

    shop: Shop
    plan: Plan | None
    days: list[ShopDay]
    mechanics: list[Person]
    beyond: list[PlannedWork] = field(default_factory=list)
    release: Release | None = None
    loads: PlanLoads | None = None
    hands: set[int] = field(default_factory=set)

    @property
    def machines(self) -> int:
        """How many machines come in on these days; one that stays, or comes again, counts once."""
        shown = (row for day in self.days for each in day.mechanics for row in each.jobs)
        return len({row.job.machine_id for row in shown})

    @property
    def keeps_up(self) -> str:
        """Say whether the shop keeps up with its work, as the Yard says it too."""
        return keeps_up(self.plan)

    @property
    def takers(self) -> list[Person]:
        """Mechanics of the shop and hands lent to it on these days: whom work is pinned to."""
        return [
            one
            for one in self.mechanics
            if (one.role, one.shop_id) == (Role.MECHANIC, self.shop.pk) or one.pk in self.hands
        ]

    @property
    def taker_names(self) -> set[str]:
        """Their user names."""
        return {one.username for one in self.takers}

    @property
    def open_days(self) -> list[ShopDay]:
        """Days on which somebody works or something is planned."""
        return [day for day in self.days if day.mechanics]


def shop_days(shop: Shop, first: date, days: int) -> ShopDays:
    """Return the plan from a day on; the number of queries is fixed."""
    last = first + timedelta(days=days - 1)
    shown = Q(day__range=(first, last)) | Q(day__lt=first, last_day__gte=first)
    jobs = list(with_skills(jobs_with_work().filter(shown, plan__shop=shop)))
    horizon = load_days(shop, first, days)
    workers = load_workers(shop, horizon)
    people = _people(shop, jobs, [first, last])
    release = shop.releases.select_related("by").first()
    listed = _shown_jobs(shop, jobs)
    unusual = otherwise(shop, first, days)
    loads = plan_loads(jobs, workers, horizon, people)
    return ShopDays(
        shop,
        Plan.objects.filter(shop=shop).first(),
        [
            ShopDay(
                day,
                _mechanic_days(number, people, loads, listed),
                "" if loads.everybody.cells[number].load.room else _closed(horizon, number),
                release is not None and release.first_day <= day <= release.last_day,
                unusual[day],
            )
            for number, day in enumerate(loads.days)
        ],
        people,
        list(_beyond(shop)),
        release,
        loads,
        {worker.pk for worker in workers if any(worker.hours)},
    )


def _closed(horizon: Horizon, number: int) -> str:
    """Say why nobody works on a day."""
    why = horizon.closed_why.get(number, "")
    return why if why and why != "shut" else "nobody works"


def _people(shop: Shop, jobs: list[PlannedJob], days: list[date]) -> list[Person]:
    """Mechanics of the shop, hands lent to it on these days, and whoever else has a job."""
    people = {one.pk: one for one in workers_at(shop, days[0], days[-1])}
    people |= {job.mechanic_id: job.mechanic for job in jobs}
    people |= {job.second.pk: job.second for job in jobs if job.second}
    return sorted(people.values(), key=str)


def _shown_jobs(shop: Shop, jobs: list[PlannedJob]) -> list[ShownJob]:
    """Return jobs whose work knows whether it is done, and its pin."""
    done = done_work([work for job in jobs for work in job.work.all()], jobs)
    pins = {
        pin.work_key: pin
        for pin in Pin.objects.filter(machine__yard__shop=shop, lifted_at=None).select_related(
            "mechanic"
        )
    }
    return [
        ShownJob(
            job,
            [
                ShownWork(work, work.pk in done, pins.get(work.work_key), job)
                for work in job.work.all()
            ],
            job.day,
        )
        for job in jobs
    ]


def _mechanic_days(
    number: int, people: list[Person], loads: PlanLoads, listed: list[ShownJob]
) -> list[MechanicDay]:
    day = loads.days[number]
    here = [replace(one, day=day) for one in listed if day in one.job.minutes_by_day()]
    rows = []
    for person, row in zip(people, loads.mechanics, strict=True):
        load = row.cells[number].load
        mine = [one for one in here if one.job.mechanic_id == person.pk]
        helps = [x.job for x in here if (x.job.second_id, x.job.day) == (person.pk, day)]
        rows.append(MechanicDay(person, mine, load.room, load.work, helps))
    return [row for row in rows if row.room or row.busy]


def _beyond(shop: Shop) -> list[PlannedWork]:
    rows = PlannedWork.objects.filter(plan__shop=shop, job=None)
    return list(
        rows.select_related(
            "machine__now", "machine__makeup__machine_class", "service", "finding"
        ).order_by("machine__tag")
    )
