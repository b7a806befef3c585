"""The mechanic's list for the day: jobs in order, what to fetch from the shelf, what bites.

The same list as on the Bench page, as it stands when the night ends; the page goes on from there.
"""

from dataclasses import dataclass
from datetime import date, datetime

from django.conf import settings
from django.db.models import Q

from fleet.models import Person, Shop, Units
from fleet.quantities import show_volume
from fleet.saying import counted, joined, say_minutes, short_date
from scheduling.models import Notice, PlannedJob
from scheduling.notices.causes import cause_of_day
from scheduling.notices.letter import Letter, StateMark, language_for, link, mark, write
from scheduling.notices.posting import NewNotice, put, told
from scheduling.queries.batch_list import BatchList, ListedJob, batch_list, on_day
from scheduling.queries.day_cautions import cautions_of
from scheduling.queries.in_its_place import InItsPlace
from scheduling.queries.pull_list import Pull, pull_list


@dataclass(frozen=True)
class Stop:
    """One job of the list, as it is read."""

    mark: StateMark
    tag: str
    kind: str
    makeup: str
    where: str
    work: list[str]
    time: str
    url: str


def make_day_lists(shop: Shop, now: datetime, day: date) -> int:
    """Make the list of each mechanic who has jobs that day; return how many were made.

    Hands lent from outside cannot sign in and have no letters; their lists stand on the Bench.
    """
    jobs = PlannedJob.objects.filter(on_day(day), plan__shop=shop)
    helped = PlannedJob.objects.filter(day=day, plan__shop=shop)
    people = Person.objects.filter(
        Q(pk__in=jobs.values("mechanic")) | Q(pk__in=helped.values("second")), is_active=True
    )
    cause = cause_of_day(Notice.Kind.DAY_LIST, day)
    there = told(cause, shop)
    made = 0
    for mechanic in people.exclude(pk__in=there).order_by("pk"):
        listed = batch_list(mechanic, day)
        if mechanic.from_outside or not (listed.open_jobs or listed.open_helps):
            continue
        letter = write_day_list(shop, listed, language_for(mechanic))
        made += put(NewNotice(cause, mechanic, shop, letter), now) is not None
    return made


def write_day_list(shop: Shop, listed: BatchList, language: str = settings.LANGUAGE_CODE) -> Letter:
    """Write one mechanic's list of a day."""
    jobs, work = listed.open_jobs, listed.open_work
    what = f"{_machines(listed)}, {say_minutes(listed.minutes_left)}"
    pulls = pull_list(work, shop, listed.day)
    return write(
        "list",
        f"Your list for {short_date(listed.day, listed.day)}: {what}",
        {
            "stops": [_stop(job) for job in jobs],
            "helps": [_help(job) for job in listed.open_helps],
            "pulls": [_pull(each, shop.units) for each in pulls.pulls],
            "unknown": pulls.unknown,
            "cautions": cautions_of(listed.work_beside),
            "bench_url": link("bench"),
        },
        language,
    )


def _machines(listed: BatchList) -> str:
    """Say how many machines the reader's time goes to, as the second person too."""
    own, helped = len(listed.open_jobs), len(listed.open_helps)
    if not own:
        return f"help at {counted(helped, 'machine')}"
    return counted(own, "machine") + (f" and help at {helped} more" if helped else "")


def _stop(listed: ListedJob) -> Stop:
    machine, work = listed.job.machine, [each.work for each in listed.work if not each.done]
    states = [each.due_point.state for each in work if each.due_point]
    worst = next((s for s in ("overdue", "due", "coming") if s in states), "clear")
    return Stop(
        mark=mark(worst),
        tag=machine.tag,
        kind=str(machine.makeup.machine_class),
        makeup=str(machine.makeup),
        where=str(machine.yard) if machine.yard.remote else "",
        work=[each.title for each in work],
        time=say_minutes(listed.minutes),
        url=link("machine", machine.tag),
    )


def _help(listed: ListedJob) -> str:
    """Say with whom the reader works as the second person, at what and how long."""
    job = listed.job
    what = joined(sorted({work.second_for for work in listed.with_second}))
    return f"{job.machine.tag}, with {job.mechanic}: {what}, {say_minutes(job.second_minutes)}"


def _pull(pull: Pull, units: str) -> str:
    """Return one thing to fetch, and what the shelf holds where that is too little."""
    said = f"{_much(pull, pull.need.quantity, units)} {pull.need.name}"
    for one in pull.instead:
        much = _much(pull, one.quantity, units)
        said += f"; in its place pull {much} {one.part}{_on(one)}"
    if pull.short and pull.on_hand is not None:
        said += f" (SHORT: {_much(pull, max(pull.on_hand, 0), units)} on the shelf)"
    return said


def _on(one: InItsPlace) -> str:
    return f", for {joined(one.tags)} alone" if one.tags else ""


def _much(pull: Pull, quantity: float, units: str) -> str:
    return show_volume(quantity, Units(units)) if pull.need.fluid else f"{quantity:g} ×"
