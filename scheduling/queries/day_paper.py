"""A mechanic's day as it goes on paper: the list, what to fetch, and a card for each machine."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.limit_words import short_source
from fleet.models import Caution, Limit, Machine, Meter, Reading
from fleet.procedures import FilledStep
from fleet.quantities import show_use, show_volume
from fleet.queries.last_measured import LastMeasured, last_measured
from fleet.queries.standing_readings import last_readings
from fleet.saying import capital, joined, say_minutes, short_date
from scheduling.models import State
from scheduling.queries.batch_list import BatchList, ListedJob, ListedWork
from scheduling.queries.card_takes import CardTake, card_takes
from scheduling.queries.day_cautions import cautions_of
from scheduling.queries.pull_list import Pull, PullList


@dataclass(frozen=True)
class CardMeasure:
    """One line to write a value on.  bounds: between which it must lie, and by which source.

    last: what was measured before.
    """

    what: str
    bounds: str
    last: str
    source: str = ""


@dataclass(frozen=True)
class CardWork:
    """One piece of work on a card.  notes: what has to be known before it is begun."""

    title: str
    minutes: str
    notes: tuple[str, ...]
    steps: tuple[FilledStep, ...]
    text: str
    measures: tuple[CardMeasure, ...]


@dataclass(frozen=True)
class JobCard:
    """One machine's visit.  meters: what each showed last.  takes: fluids and parts of it, and
    what is taken in their place.

    machine_id: what its scan code leads to.
    """

    number: int
    tag: str
    kind: str
    where: str
    machine_id: int
    minutes: str
    held: bool
    notes: tuple[str, ...]
    meters: tuple[tuple[str, str], ...]
    takes: tuple[CardTake, ...]
    cautions: tuple[Caution, ...]
    work: tuple[CardWork, ...]


@dataclass(frozen=True)
class DayPaper:
    """All of it.  lines: tag, what for, time; pulls: what, how much, on the shelf."""

    whose: str
    day: str
    sentence: str
    lines: tuple[tuple[str, str, str], ...]
    helps: tuple[str, ...]
    pulls: tuple[tuple[str, str, str], ...]
    tools: tuple[str, ...]
    unknown: tuple[str, ...]
    cautions: tuple[Caution, ...]
    cards: tuple[JobCard, ...]


@dataclass(frozen=True)
class _Known:
    """What of all machines of a day is fetched at once: meters, readings, last measured values."""

    day: date
    meters: Mapping[int, Sequence[Meter]]
    last: Mapping[int, Reading]
    measured: LastMeasured


def day_paper(listed: BatchList, pull: PullList, units: str) -> DayPaper:
    """Return a day as paper; three queries beside those of its list and of `with_steps`."""
    jobs = listed.open_jobs
    known = _known([job.job.machine for job in jobs], jobs, listed.day)
    who = f"{listed.shop or ''} · {listed.mechanic}"
    count = f"{len(jobs)} machine{'' if len(jobs) == 1 else 's'}"
    sentence = f"{count}, {say_minutes(listed.minutes_left)}." if jobs else "Nothing is left."
    return DayPaper(
        whose=who.removeprefix(" · "),
        day=short_date(listed.day, listed.day),
        sentence=sentence,
        lines=tuple(_line(number, job) for number, job in enumerate(jobs, 1)),
        helps=tuple(_help(job) for job in listed.open_helps),
        pulls=tuple(_pull(one, units) for one in pull.pulls),
        tools=tuple(pull.tools),
        unknown=tuple(pull.unknown),
        cautions=tuple(cautions_of(listed.work_beside)),
        cards=tuple(_card(number, job, known, pull) for number, job in enumerate(jobs, 1)),
    )


def _known(machines: Sequence[Machine], jobs: Sequence[ListedJob], day: date) -> _Known:
    keys = {machine.pk for machine in machines}
    meters: dict[int, list[Meter]] = {}
    for meter in Meter.objects.filter(machine__in=keys, removed_at=None).order_by("kind"):
        meters.setdefault(meter.machine_id, []).append(meter)
    limits = [limit for job in jobs for each in job.open_work for limit in each.limits]
    return _Known(day, meters, last_readings(keys), last_measured(machines, limits, day))


def _line(number: int, job: ListedJob) -> tuple[str, str, str]:
    what = "; ".join(capital(each.work.title) for each in job.open_work)
    return f"{number}. {job.job.machine.tag}", what, say_minutes(job.minutes_left)


def _help(job: ListedJob) -> str:
    what = ", ".join(work.second_for or work.title for work in job.with_second)
    minutes = say_minutes(job.job.second_minutes)
    return f"{job.job.machine.tag}, with {job.job.mechanic}: {what}, {minutes}"


def _pull(one: Pull, units: str) -> tuple[str, str, str]:
    def much(quantity: float) -> str:
        return show_volume(quantity, units) if one.need.fluid else f"{quantity:g}"

    said = much(one.need.quantity)
    if one.containers and one.need.part and one.need.part.container_ml:
        said += f" ({one.containers} of {show_volume(one.need.part.container_ml, units)})"
    there = "not stocked" if one.on_hand is None else much(one.on_hand)
    name = one.need.name
    for other in one.instead:
        tags = f", for {joined(other.tags)} alone" if other.tags else ""
        name += f"; in its place pull {much(other.quantity)} {other.part}{tags}"
    return name, said, f"{there}, short" if one.short else there


def _card(number: int, job: ListedJob, known: _Known, pull: PullList) -> JobCard:
    machine = job.job.machine
    works = list(job.open_work)
    state = getattr(machine, "now", None)
    return JobCard(
        number=number,
        tag=machine.tag,
        kind=str(machine.makeup.machine_class),
        where=f"{machine.makeup}, {machine.yard}",
        machine_id=machine.pk,
        minutes=say_minutes(job.minutes_left),
        held=state is not None and state.state == State.HELD,
        notes=tuple(_notes(job)),
        meters=tuple(_meter(meter, machine, known) for meter in known.meters.get(machine.pk, ())),
        takes=tuple(card_takes([each.work for each in works], pull.planned, machine.yard.units)),
        cautions=tuple(cautions_of([each.work for each in works])),
        work=tuple(_work(each, machine, known) for each in works),
    )


def _notes(job: ListedJob) -> Iterable[str]:
    if job.why:
        yield f"Here because {job.why}."
    if job.job.second and job.day == job.job.day:
        yield f"With {job.job.second}, {say_minutes(job.job.second_minutes)}."
    for alteration in job.job.machine.alterations.all():
        yield f"Altered: {alteration.text}"


def _meter(meter: Meter, machine: Machine, known: _Known) -> tuple[str, str]:
    reading = known.last.get(meter.pk)
    label = meter.get_kind_display()
    if reading is None:
        return label, "never read"
    day = reading.read_at.astimezone(machine.yard.zone).date()
    shown = show_use(reading.value, meter.kind, machine.yard.units)
    return label, f"last {shown}, {short_date(day, known.day)}"


def _work(each: ListedWork, machine: Machine, known: _Known) -> CardWork:
    work, service = each.work, each.work.service
    notes = []
    if work.begun:
        notes.append(f"Under way, {say_minutes(work.minutes)} left.")
    if service and service.skill and service.skill.by_certificate:
        notes.append(f"Qualified person only: who signs must hold {service.skill}.")
    steps = tuple(each.steps)
    text = work.finding.text if work.finding and work.finding.text != work.title else ""
    if service and not steps:
        text = "No steps are on file for this service: go by the machine's manual."
    return CardWork(
        capital(work.title), say_minutes(work.minutes), tuple(notes), steps, text,
        tuple(one for limit in each.limits for one in _measures(limit, machine, known)),
    )  # fmt: skip


def _measures(limit: Limit, machine: Machine, known: _Known) -> Iterable[CardMeasure]:
    """Return a line for each place at which something is measured."""
    source = short_source(limit.source, known=limit.known)
    for number, place in enumerate(limit.each_place or ("",)):
        what = capital(", ".join(filter(None, (limit.name, place, limit.unit))))
        last = known.measured.said(machine.pk, limit, place)
        yield CardMeasure(what, _bounds(limit), last, "" if number else source)


def _bounds(limit: Limit) -> str:
    low = f"at least {limit.low:g}" if limit.low is not None else ""
    high = f"at most {limit.high:g}" if limit.high is not None else ""
    return ", ".join(filter(None, (low, high)))
