"""What was typed at each look at the meters, slips included, and what validation said to them."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import groupby

import numpy as np

from fleet.demo.day_numbers import Clock
from fleet.demo.live_machine import SimulatedPast
from fleet.demo.meter_looks import MeterLook
from fleet.demo.simulated_meters import dial_at
from fleet.demo.slips import mistype
from fleet.models import MeterKind
from fleet.quantities import unit_size
from fleet.validation import (
    Face,
    ReadingContext,
    ReadingVerdict,
    Seen,
    ShownReading,
    judge,
    say_verdict,
)
from fleet.validation import MeterHistory as Known

SLIP_SHARE = 0.004
"""Share of readings that are mistyped."""
LEFT_OPEN_DAYS = 14
"""Refused readings younger than this still wait to be mended."""
NEIGHBOURS = 25
"""Readings before and after, by which validation judges."""


@dataclass(frozen=True)
class Typed:
    """One reading that stands in the book of readings."""

    kind: str
    dial: int
    at: datetime
    value: float
    look: MeterLook
    entered: datetime
    corrects: datetime | None = None
    """Read at the same moment as the reading that this one puts right."""


@dataclass(frozen=True)
class RefusedSlip:
    """One reading that was refused; mended_at is the moment of the right one, if it came."""

    kind: str
    at: datetime
    value: float
    look: MeterLook
    verdict: ReadingVerdict
    mended_at: datetime | None


@dataclass
class TypedMeters:
    """All that was typed about one machine."""

    taken: list[Typed] = field(default_factory=list)
    refused: list[RefusedSlip] = field(default_factory=list)


@dataclass(frozen=True)
class Desk:
    """Where readings are typed: the clock and units of the yard, and today."""

    clock: Clock
    units: str
    today: int
    slip_lately: bool = True
    """Whether some machines' last reading is mistyped for certain."""


def _readings(history: SimulatedPast, desk: Desk, kind: str) -> list[Typed]:
    dials = history.dials[kind]
    result = []
    for look in history.looks:
        n = dial_at(dials, look.day, look.minute)
        value = dials[n].shown(history.life(kind, look.day, look.minute))
        at = desk.clock.at(look.day, look.minute)
        result.append(Typed(kind, n, at, value, look, at + timedelta(minutes=3)))
    return result


def _verdict(
    wrong: Typed, near: Sequence[Typed], history: SimulatedPast, desk: Desk
) -> ReadingVerdict:
    """What the site's own validation says of a mistyped reading, among the right ones around it."""
    kind = MeterKind(wrong.kind)
    limits = {m["kind"]: m.get("rolls_over_at") for m in history.unit.slot.make_up["meters"]}
    face = Face(kind, unit_size(kind, desk.units), limits[wrong.kind])
    shown = ShownReading(wrong.value, wrong.at)
    fault = judge(shown, face, Known([Seen(t.at, t.value) for t in near]), wrong.entered)
    place = ReadingContext(history.unit.tag, kind, desk.units, desk.clock.zone, wrong.entered)
    return say_verdict(fault, shown, place)


def _put_right(wrong: Typed, right: Typed, later: Sequence[Typed]) -> list[Typed]:
    """A plausible slip that ran ahead of the meter is seen, and corrected, at the next look."""
    if not later or later[0].value >= wrong.value:
        return [wrong]
    seen = later[0].entered + timedelta(minutes=4)
    return [wrong, replace(right, entered=seen, corrects=wrong.at)]


def _one_slip(
    rng: np.random.Generator, n: int, run: list[Typed], history: SimulatedPast, desk: Desk
) -> TypedMeters:
    """What became of the reading at n, once it was mistyped."""
    right = run[n]
    wrong = replace(right, value=mistype(rng, right.value, right.kind))
    before, after = run[max(0, n - NEIGHBOURS) : n], run[n + 1 : n + 1 + NEIGHBOURS]
    if wrong.value == right.value or not before:
        return TypedMeters([right])
    verdict = _verdict(wrong, before, history, desk)
    if verdict.fine or verdict.known:
        return TypedMeters(_put_right(wrong, right, after))
    still_open = desk.today - right.look.day <= LEFT_OPEN_DAYS
    refused = RefusedSlip(
        right.kind, right.at, wrong.value, right.look, verdict, None if still_open else right.at
    )
    late = replace(right, entered=right.entered + timedelta(minutes=2))
    return TypedMeters([] if still_open else [late], [refused])


def fill_sheet(rng: np.random.Generator, history: SimulatedPast, desk: Desk) -> TypedMeters:
    """All readings of one machine as they were typed."""
    sheet = TypedMeters()
    for kind in history.dials:
        for _, group in groupby(_readings(history, desk, kind), key=lambda t: t.dial):
            run = list(group)
            slipped = rng.random(len(run)) < SLIP_SHARE
            if desk.slip_lately and history.unit.index % 13 == 4:
                slipped[-1] = True  # somebody's finger slipped lately, and it waits to be mended
            for n, typed in enumerate(run):
                if not slipped[n]:
                    sheet.taken.append(typed)
                    continue
                became = _one_slip(rng, n, run, history, desk)
                sheet.taken += became.taken
                sheet.refused += became.refused
    return sheet
