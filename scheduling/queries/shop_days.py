"""The plan by day and mechanic, with how full each is."""

from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cached_property

from fleet.charts import LoadBar
from fleet.models import OvertimeDay, Person, Pin, Release, Role, Shop
from fleet.queries.who_works import workers_at
from fleet.saying import short_date
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.plan.horizon import Horizon, load_days
from scheduling.plan.workers import load_workers
from scheduling.queries.batch_list import done_work
from scheduling.queries.grid_jobs import WantedJobs, grid_jobs
from scheduling.queries.plan_loads import PlanLoads, plan_loads
from scheduling.queries.shown_work import ShownJob, ShownWork
from scheduling.queries.unusual_days import otherwise, overtime_allowed


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
    day: date = date.min

    @property
    def iso(self) -> str:
        """The day as a form sends it."""
        return self.day.isoformat()

    @property
    def on(self) -> str:
        """The day as a page says it: "Mon 2 Mar"."""
        return short_date(self.day, self.day)

    @property
    def figures(self) -> str:
        """Hours used of hours there, as short as can be: "6.5/8"."""
        return LoadBar("", self.work, self.room).figures

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
class MechanicWeek:
    """A row of the grid: one mechanic over the days."""

    mechanic: Person
    cells: list[MechanicDay]

    @property
    def figures(self) -> str:
        """Hours used of hours there over the days."""
        work, room = sum(one.work for one in self.cells), sum(one.room for one in self.cells)
        return LoadBar("", work, room).figures


@dataclass(frozen=True)
class ShopDays:
    """A shop's plan over some days.

    rows: the mechanics that are asked for, over all the days.  beyond: pieces of work that have no
    day.  left_out: jobs that the choice of class, yard or skill leaves out.
    overtime: what is allowed on single days, beyond the usual.
    """

    shop: Shop
    plan: Plan | None
    days: list[ShopDay]
    mechanics: list[Person]
    beyond: int = 0
    release: Release | None = None
    loads: PlanLoads | None = None
    hands: set[int] = field(default_factory=set)
    rows: list[MechanicWeek] = field(default_factory=list)
    left_out: int = 0
    overtime: list[OvertimeDay] = field(default_factory=list)

    @property
    def machines(self) -> int:
        """How many machines come in on these days; one that stays, or comes again, counts once."""
        cells = [each for week in self.rows for each in week.cells]
        jobs = {row.job.machine_id for each in cells for row in each.jobs}
        return len(jobs | {job.machine_id for each in cells for job in each.helps})

    @cached_property
    def takers(self) -> list[Person]:
        """Mechanics of the shop and hands lent to it on these days: whom work is pinned to."""
        return [
            one
            for one in self.mechanics
            if (one.role, one.shop_id) == (Role.MECHANIC, self.shop.pk) or one.pk in self.hands
        ]

    @cached_property
    def taker_names(self) -> set[str]:
        """Their user names."""
        return {one.username for one in self.takers}

    @property
    def open_days(self) -> list[ShopDay]:
        """Days on which somebody works or something is planned."""
        return [day for day in self.days if day.mechanics]


def shop_days(shop: Shop, first: date, days: int, wanted: WantedJobs | None = None) -> ShopDays:
    """Return the plan from a day on; the number of queries is fixed.

    The loads are those of the whole plan, whatever of it is wanted.
    """
    last = first + timedelta(days=days - 1)
    plan = Plan.objects.filter(shop=shop).first()
    jobs = grid_jobs(plan, first, last)
    horizon = load_days(shop, first, days)
    workers = load_workers(shop, horizon)
    people = _people(shop, jobs, [first, last])
    release = shop.releases.select_related("by").first()
    shown = [job for job in jobs if wanted is None or wanted.takes(job)]
    listed = shown_jobs(shop, shown)
    overtime = overtime_allowed(shop, first, days)
    unusual = otherwise(shop, first, days, overtime)
    loads = plan_loads(jobs, workers, horizon, people)
    every = _rows(people, loads, listed)
    rows = [row for row in every if wanted is None or wanted.names(row.mechanic)]
    return ShopDays(
        shop,
        plan,
        [
            ShopDay(
                day,
                [cell for row in rows for cell in [row.cells[number]] if cell.room or cell.busy],
                "" if loads.everybody.cells[number].load.room else _closed(horizon, number),
                release is not None and release.first_day <= day <= release.last_day,
                unusual[day],
            )
            for number, day in enumerate(loads.days)
        ],
        people,
        PlannedWork.objects.filter(plan__shop=shop, job=None).count(),
        release,
        loads,
        {worker.pk for worker in workers if any(worker.hours)},
        rows,
        len(jobs) - len(shown),
        overtime,
    )


def takers_of(shop: Shop, today: date) -> list[Person]:
    """Return the mechanics of a shop and hands lent to it from today on, by name."""
    return sorted(workers_at(shop, today, date.max), key=str)


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


def shown_jobs(shop: Shop, jobs: list[PlannedJob]) -> list[ShownJob]:
    """Return jobs whose work knows whether it is done, and its pin."""
    done = done_work([work for job in jobs for work in job.work.all()], jobs)
    pins = {
        pin.work_key: pin
        for pin in Pin.objects.filter(
            machine__in={job.machine_id for job in jobs}, lifted_at=None
        ).select_related("mechanic")
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


def _rows(people: list[Person], loads: PlanLoads, listed: list[ShownJob]) -> list[MechanicWeek]:
    mine: dict[tuple[int, date], list[ShownJob]] = defaultdict(list)
    helps: dict[tuple[int, date], list[PlannedJob]] = defaultdict(list)
    for one in listed:
        for day in one.job.minutes_by_day():
            mine[one.job.mechanic_id, day].append(replace(one, day=day))
        if one.job.second_id:
            helps[one.job.second_id, one.job.day].append(one.job)
    return [
        MechanicWeek(
            person,
            [
                MechanicDay(
                    person,
                    mine[person.pk, day],
                    row.cells[number].load.room,
                    row.cells[number].load.work,
                    helps[person.pk, day],
                    day,
                )
                for number, day in enumerate(loads.days)
            ],
        )
        for person, row in zip(people, loads.mechanics, strict=True)
    ]


def beyond_plan(shop: Shop, wanted: WantedJobs | None = None) -> list[PlannedWork]:
    """Return the work that has no day in a shop's plan, as far as wanted, by machine; one query."""
    rows = PlannedWork.objects.filter(plan__shop=shop, job=None).select_related(
        "machine__makeup", "service__skill", "finding__skill"
    )
    found = rows.order_by("machine__tag", "pk")
    return [work for work in found if wanted is None or wanted.takes_work(work)]
