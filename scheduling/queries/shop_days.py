"""The plan by day and mechanic, with how full each is."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from django.db.models import Q

from fleet.models import ClosedDay, Person, Release, Shop
from fleet.queries.hands import workers_at
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.queries.batch_list import ListedJob, jobs_with_work, listed
from scheduling.queries.shop_hours import hours_of_each


@dataclass(frozen=True)
class MechanicDay:
    """One mechanic on one day: jobs in order, minutes of work, minutes at hand.

    helping: minutes as the second person at jobs of others.
    """

    mechanic: Person
    jobs: list[ListedJob]
    room: float
    helping: int = 0

    @property
    def work(self) -> int:
        """Planned minutes, help to others included."""
        return self.helping + sum(each.minutes for each in self.jobs)

    @property
    def over(self) -> float:
        """Planned minutes beyond those at hand."""
        return max(0.0, self.work - self.room)


@dataclass(frozen=True)
class ShopDay:
    """One day of the shop; closed says why where it does not work."""

    day: date
    mechanics: list[MechanicDay]
    closed: str = ""
    published: bool = False

    @property
    def jobs(self) -> int:
        """How many machines come in."""
        return sum(len(each.jobs) for each in self.mechanics)


@dataclass(frozen=True)
class ShopDays:
    """A shop's plan over some days."""

    shop: Shop
    plan: Plan | None
    days: list[ShopDay]
    mechanics: list[Person]
    beyond: list[PlannedWork] = field(default_factory=list)
    release: Release | None = None

    @property
    def jobs(self) -> int:
        """Machines that come in on these days."""
        return sum(day.jobs for day in self.days)

    @property
    def open_days(self) -> list[ShopDay]:
        """Days on which somebody works or something is planned."""
        return [day for day in self.days if day.mechanics]


def shop_days(shop: Shop, first: date, days: int) -> ShopDays:
    """Return the plan from a day on; the number of queries is fixed."""
    last = first + timedelta(days=days - 1)
    rows = jobs_with_work().filter(plan__shop=shop, day__lte=last)
    jobs = listed(rows.filter(Q(day__gte=first) | Q(last_day__gte=first)))
    release = shop.releases.select_related("by").first()
    hours = hours_of_each(shop, first, days)
    people = _mechanics(shop, [one.job for one in jobs], hours)
    closed = dict(
        ClosedDay.objects.filter(shop=shop, yard=None, day__range=(first, last)).values_list(
            "day", "reason"
        )
    )
    return ShopDays(
        shop,
        Plan.objects.filter(shop=shop).first(),
        [
            ShopDay(
                day,
                _mechanic_days(day, people, hours[day], jobs),
                "" if hours[day] else closed.get(day, "nobody works"),
                release is not None and release.first_day <= day <= release.last_day,
            )
            for day in hours
        ],
        people,
        list(_beyond(shop)),
        release,
    )


def _mechanics(
    shop: Shop, jobs: list[PlannedJob], hours: dict[date, dict[int, float]]
) -> list[Person]:
    """Mechanics of the shop, hands lent to it on these days, and whoever else has a job."""
    here = workers_at(shop, min(hours), max(hours))
    people = {one.pk: one for one in here}
    people |= {job.mechanic_id: job.mechanic for job in jobs}
    people |= {job.second.pk: job.second for job in jobs if job.second}
    return sorted(people.values(), key=str)


def _mechanic_days(
    day: date, people: list[Person], hours: dict[int, float], jobs: list[ListedJob]
) -> list[MechanicDay]:
    here = [replace(one, day=day) for one in jobs if one.job.day <= day <= one.job.ends]
    rows = [
        MechanicDay(
            person,
            [one for one in here if one.job.mechanic_id == person.pk],
            60 * hours.get(person.pk, 0.0),
            sum(
                one.job.second_minutes
                for one in here
                if (one.job.day, one.job.second_id) == (day, person.pk)
            ),
        )
        for person in people
    ]
    return [row for row in rows if row.room or row.work]


def _beyond(shop: Shop) -> list[PlannedWork]:
    rows = PlannedWork.objects.filter(plan__shop=shop, job=None)
    return list(
        rows.select_related(
            "machine__now", "machine__makeup__machine_class", "service", "finding"
        ).order_by("machine__tag")
    )
