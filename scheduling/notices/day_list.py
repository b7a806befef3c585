"""The mechanic's list for the day: jobs in order, what to fetch from the shelf, what bites."""

from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Caution, Person, Shop, Units
from fleet.quantities import show_volume
from fleet.saying import counted, say_minutes, short_date
from scheduling.models import Notice, PlannedJob, PlannedWork
from scheduling.notices.outbox import NewNotice, known, put
from scheduling.notices.writing import Letter, StateMark, link, mark, write
from scheduling.queries.needs import Need, needs_of

SIGNALS = [str(value) for value in Caution.Signal.values]
"""Signal words, most serious first."""


@dataclass(frozen=True)
class Stop:
    """One job of the list, as it is read."""

    mark: StateMark
    tag: str
    kind: str
    where: str
    work: list[str]
    time: str
    url: str


def make_day_lists(shop: Shop, now: datetime, day: date) -> int:
    """Make the list of each mechanic who has jobs that day; return how many were made."""
    jobs = _jobs(shop, day)
    keys = {job.mechanic_id: f"list:{shop.pk}:{day}:{job.mechanic_id}" for job in jobs}
    there = known(list(keys.values()))
    made = 0
    for mechanic_id, key in keys.items():
        own = [job for job in jobs if job.mechanic_id == mechanic_id]
        mechanic = own[0].mechanic
        if key in there or not mechanic.is_active:
            continue
        letter = write_day_list(shop, mechanic, own, day)
        kind = Notice.Kind.DAY_LIST
        made += put(NewNotice(key, kind, mechanic, shop, letter), now) is not None
    return made


def _jobs(shop: Shop, day: date) -> list[PlannedJob]:
    return list(
        PlannedJob.objects.filter(plan__shop=shop, day=day)
        .order_by("mechanic", "position", "pk")
        .select_related("mechanic", "machine__yard", "machine__makeup__machine_class")
        .prefetch_related("work__service__cautions", "work__finding", "work__due_point")
    )


def write_day_list(shop: Shop, mechanic: Person, jobs: list[PlannedJob], day: date) -> Letter:
    """Write one mechanic's list of a day."""
    work = [each for job in jobs for each in _work(job)]
    minutes = sum(job.minutes for job in jobs)
    what = f"{counted(len(jobs), 'machine')}, {say_minutes(minutes)}"
    return write(
        "list",
        f"Your list for {short_date(day, day)}: {what}",
        {
            "mechanic": mechanic,
            "stops": [_stop(job) for job in jobs],
            "pulls": [_pull(need, shop.units) for need in needs_of(work)],
            "cautions": _cautions(work),
            "bench_url": link("bench"),
        },
    )


def _work(job: PlannedJob) -> list[PlannedWork]:
    """Work of a job, with its machine at hand so that nothing is fetched again."""
    found = list(job.work.all())
    for each in found:
        each.machine = job.machine
    return found


def _stop(job: PlannedJob) -> Stop:
    machine, work = job.machine, list(job.work.all())
    states = [each.due_point.state for each in work if each.due_point]
    worst = next((s for s in ("overdue", "due", "coming") if s in states), "clear")
    return Stop(
        mark=mark(worst),
        tag=machine.tag,
        kind=f"{machine.makeup.machine_class}, {machine.makeup}",
        where=f"at {machine.yard}" if machine.yard.remote else "",
        work=[each.title for each in work],
        time=say_minutes(job.minutes),
        url=link("machine", machine.tag),
    )


def _pull(need: Need, units: str) -> str:
    if need.fluid:
        return f"{show_volume(need.quantity, Units(units))} {need.name}"
    return f"{need.quantity:g} × {need.name}"


def _cautions(work: list[PlannedWork]) -> list[Caution]:
    """The usual cautions of these services, each once, most serious first."""
    found = {c.pk: c for each in work if each.service for c in each.service.cautions.all()}
    return sorted(found.values(), key=lambda c: (SIGNALS.index(c.signal), c.code))
