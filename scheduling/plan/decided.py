"""What people and earlier plans decided: pins, put-offs, and where work stood before."""

from dataclasses import dataclass
from datetime import date

from fleet.models import Pin, PutOff, Release, Shop
from fleet.work_keys import service_key
from scheduling.models import DuePoint, Plan, PlannedWork
from scheduling.plan.horizon import Horizon, Worker
from scheduling.plan.workers import worker_on


@dataclass(frozen=True)
class DecidedSpot:
    """A day, and the name by which the plan calls a mechanic on it (None: open)."""

    day: int
    mechanic: str | None


@dataclass(frozen=True)
class Decided:
    """By key of the work: pins in the horizon, pins past it, where it stood, reasons of put-offs.

    first: nothing was planned or published for this shop before.
    """

    pins: dict[str, DecidedSpot]
    later: dict[str, date]
    stood: dict[str, DecidedSpot]
    put_off: dict[str, tuple[date, str]]
    first: bool = False

    @property
    def pinned(self) -> set[str]:
        """Return the work that is pinned, wherever."""
        return set(self.pins) | set(self.later)


def load_decided(shop: Shop, horizon: Horizon, workers: list[Worker]) -> Decided:
    """Load decisions, with seven queries."""
    names = {worker.pk: worker.account for worker in workers}
    pins: dict[str, DecidedSpot] = {}
    later: dict[str, date] = {}
    rows = Pin.objects.filter(machine__yard__shop=shop, lifted_at=None, day__gte=horizon.first)
    for key, day, mechanic in rows.order_by("pk").values_list("work_key", "day", "mechanic_id"):
        number = horizon.number(day)
        if number < horizon.days:
            pins[key] = DecidedSpot(
                number, worker_on(workers, names.get(mechanic or 0, ""), number)
            )
        else:
            later[key] = day
    put_off = _put_offs(shop)
    stood = _stood(shop, horizon, workers)
    for key, (day, _) in put_off.items():
        if key in stood and stood[key].day <= horizon.number(day):
            del stood[key]
    return Decided(pins, later, stood, put_off, _is_first(shop))


def _is_first(shop: Shop) -> bool:
    """Whether nobody holds a list of this shop yet."""
    return not (Plan.objects.filter(shop=shop).exists() or shop.releases.exists())


def _put_offs(shop: Shop) -> dict[str, tuple[date, str]]:
    """Return day and reason of put-offs, by key; work that was done since is not put off now."""
    rows = PutOff.objects.filter(machine__yard__shop=shop).order_by("day", "pk")
    done = DuePoint.objects.filter(machine__yard__shop=shop, machine__put_offs__isnull=False)
    done_on = {
        service_key(machine, service): day
        for machine, service, day in done.values_list("machine", "service", "last_done_on")
    }
    return {
        key: (day, reason)
        for key, day, reason in rows.values_list("work_key", "day", "reason")
        if (done_on.get(key) or date.min) < day
    }


def _stood(shop: Shop, horizon: Horizon, workers: list[Worker]) -> dict[str, DecidedSpot]:
    """Return where work stands now: in the shop's plan, else in what was last published."""
    spots: dict[str, DecidedSpot] = {}
    release = Release.objects.filter(shop=shop).order_by("-at", "-pk").first()
    for job in release.jobs if release else []:
        day = horizon.number(date.fromisoformat(job["day"]))
        spots[job["work_key"]] = DecidedSpot(day, job["mechanic"])
    work = PlannedWork.objects.filter(plan__shop=shop, job__isnull=False)
    for key, planned, name in work.values_list("work_key", "job__day", "job__mechanic__username"):
        if planned is not None:
            spots[key] = DecidedSpot(horizon.number(planned), name)
    return {
        key: DecidedSpot(spot.day, mechanic)
        for key, spot in spots.items()
        if 0 <= spot.day < horizon.days
        and (mechanic := worker_on(workers, spot.mechanic or "", spot.day))
    }
