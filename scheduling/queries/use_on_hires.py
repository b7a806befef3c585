"""What machines were used a day on their past hires, by kind of meter; one query."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from fleet.models import HandOver, Machine

LOOK_BACK = timedelta(days=180)
"""How far back hires are looked at."""

SHRINK_DAYS = 10.0
"""Days of the class's use mixed into each machine's own: a few hires say little (our judgement)."""

Totals = dict[str, tuple[float, float]]
"""Kind of meter -> use, and days of hire."""


def use_on_hires(machines: Collection[Machine], today: date) -> dict[int, Mapping[str, float]]:
    """Return the use a day of hire of each machine, drawn to that of its class in its shop.

    A hire counts that was read out and back on the same meter; a part of a day is a whole day.
    """
    own: dict[int, Totals] = defaultdict(dict)
    of_class: dict[tuple[int, int], Totals] = defaultdict(dict)
    for machine, place, kind, use, days in _hires(machines, today):
        _add(own[machine], kind, use, days)
        _add(of_class[place], kind, use, days)
    return {machine.pk: _a_day(own[machine.pk], of_class[_place(machine)]) for machine in machines}


def _place(machine: Machine) -> tuple[int, int]:
    return machine.yard.shop_id, machine.makeup.machine_class_id


def _hires(
    machines: Collection[Machine], today: date
) -> Iterator[tuple[int, tuple[int, int], str, float, float]]:
    """Yield of each hire machine, shop and class, kind of meter, use and days."""
    places = {_place(machine) for machine in machines}
    rows = HandOver.objects.filter(
        booking__machine__yard__shop__in={shop for shop, _ in places},
        booking__machine__makeup__machine_class__in={kind for _, kind in places},
        booking__last_day__gte=today - LOOK_BACK,
        readings__isnull=False,
    ).values_list(
        "booking", "readings__meter", "direction", "booking__machine",
        "booking__machine__yard__shop", "booking__machine__makeup__machine_class",
        "readings__meter__kind", "readings__value", "at",
    ).order_by()  # fmt: skip
    out: dict[tuple[int, int], tuple[float, date]] = {}
    back: dict[tuple[int, int], tuple[Any, ...]] = {}
    for booking, meter, direction, *facts, value, at in rows:
        if direction == HandOver.Direction.OUT:
            out[booking, meter] = (value, at.date())
        else:
            back[booking, meter] = (*facts, value, at.date())
    for pair in out.keys() & back.keys():
        (before, gone), (machine, shop, kind_of, kind, after, came) = out[pair], back[pair]
        if after >= before:  # a meter that was put back to nought tells nothing
            yield machine, (shop, kind_of), kind, after - before, float((came - gone).days + 1)


def _add(totals: Totals, kind: str, use: float, days: float) -> None:
    had = totals.get(kind, (0.0, 0.0))
    totals[kind] = (had[0] + use, had[1] + days)


def _a_day(own: Totals, of_class: Totals) -> dict[str, float]:
    found = {}
    for kind, (all_use, all_days) in of_class.items():
        use, days = own.get(kind, (0.0, 0.0))
        found[kind] = (use + SHRINK_DAYS * all_use / all_days) / (days + SHRINK_DAYS)
    return found
