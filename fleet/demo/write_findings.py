"""What the mechanics measured and found, and the hold of the demo, as facts."""

from collections.abc import Sequence
from datetime import timedelta
from functools import cache
from typing import Any

import numpy as np

from fleet.demo.ledger import Ledger
from fleet.demo.meter_looks import MeterLook
from fleet.demo.scenario import scenario
from fleet.demo.write_use import Scribe
from fleet.models import (
    Finding,
    Hold,
    Limit,
    Measurement,
    Progress,
    ServiceRecord,
    SheetEntry,
)
from fleet.procedures import limits_for
from fleet.work_keys import service_key

FOUND_SHARE = 0.07
"""Share of services at which something is found."""
LONGEST_WAIT = 40
"""Days within which a finding is settled."""
SEEN_DAYS = 5
"""Days since the defects of a story were seen."""
SATURDAY = 5
THIN = 10
"""Millimetres: a lining wears to a fraction of what it was, a belt or a wide pad but a little."""
AS_NEW, AS_NEW_WIDE = 2.4, 1.09
"""Times its least of what wears, thin or wide, on machines that are looked after."""
QUIET = 0.85
"""Share of the most noise allowed from which on machines are measured."""


def _good_value(rng: np.random.Generator, limit: Limit, usual: float | None) -> float:
    """A value well inside a limit; one whose trend is watched hardly moves."""
    if usual is None and limit.then_id and limit.low is None and limit.high:
        usual = limit.high / 2
    if usual is not None:
        return round(usual * float(rng.normal(1, 0.008)), 2)
    if limit.low is not None and limit.high is None and limit.makeup_id:
        new = AS_NEW if limit.low <= THIN else AS_NEW_WIDE
        return round(limit.low * new * float(rng.normal(1, 0.04 if new == AS_NEW else 0.01)), 2)
    if limit.low is not None:
        low = limit.low
        high = limit.high if limit.high is not None else low * 1.6
    else:
        high = limit.high or 0.0
        loud = QUIET if limit.unit.startswith("dB") else 0.3
        low = high - 8 if high < 0 else high * loud
    return round(low + (high - low) * float(rng.beta(3, 3)), 2)


@cache
def usual_values() -> dict[tuple[str, str], float]:
    """(service, limit) -> the value of sound parts, where the scenario tells one."""
    return {
        (service["code"], limit["name"]): limit["usual"]
        for service in scenario().procedures["services"]
        for limit in service.get("limits", ())
        if "usual" in limit
    }


def write_measurements(
    scribe: Scribe,
    ledger: Ledger,
    records: Sequence[tuple[MeterLook, ServiceRecord]],
    limits: dict[str, list[Limit]],
) -> None:
    """A value for every limit of every service done; the worn machine's one runs to its limit.

    Values have a stream of numbers of their own, so that one limit more changes nothing else.
    """
    usual, rng = usual_values(), scribe.rng.spawn(1)[0]
    makeup = scribe.machine.makeup_id
    worn = scribe.history.unit.story("worn")
    of_worn = [r for _, r in records if worn and r.service and r.service.code == worn["service"]]
    for _, record in records:
        code = record.service.code if record.service else ""
        known = (one for one in limits_for(limits.get(code, []), makeup) if one.known)
        for limit, place in ((one, place) for one in known for place in one.each_place or ("",)):
            value = _good_value(rng, limit, usual.get((code, limit.name)))
            if worn and record in of_worn and limit.name == worn["limit"]:
                share = (of_worn.index(record) + 1) / (len(of_worn) + 0.4)
                value = round((limit.high or 1) * (0.55 + 0.42 * share), 2)
            ledger.measurements.append(
                Measurement(record=record, limit=limit, place=place, value=value)
            )


def write_findings(
    scribe: Scribe,
    ledger: Ledger,
    records: Sequence[tuple[MeterLook, ServiceRecord]],
    texts: Sequence[Sequence[Any]],
) -> None:
    """Now and then something is found; the older ones are settled."""
    today = scribe.shelf.today.toordinal()
    for look, record in records:
        if scribe.rng.random() > FOUND_SHARE:
            continue
        text, gravity = texts[int(scribe.rng.integers(0, len(texts)))]
        wait = int(scribe.rng.integers(1, LONGEST_WAIT))
        settled = look.day + wait < today
        ledger.findings.append(
            Finding(
                machine=scribe.machine,
                seen_at=record.done_at,
                seen_by=record.done_by,
                text=text,
                gravity=gravity,
                seen_during=record,
                minutes=int(scribe.rng.choice([20, 30, 45, 60, 90])),
                skill=record.service.skill if record.service else None,
                settled_at=record.done_at + timedelta(days=wait) if settled else None,
                settled_by=record.done_by if settled else None,
                settled_note="mended" if settled and gravity != "note" else "",
            )
        )


def write_calls(scribe: Scribe) -> None:
    """Defects that call for a service, and the work on one that is under way."""
    for told in scribe.history.unit.stories:
        for code, text in told.get("calls", ()):
            Finding.objects.create(
                machine=scribe.machine,
                seen_at=scribe.shelf.clock.at(scribe.shelf.today.toordinal() - SEEN_DAYS, 9 * 60),
                seen_by=scribe.place.mechanics[0],
                text=text,
                gravity=Finding.Gravity.DEFECT,
                calls_for=scribe.shelf.services[code],
            )
            if "begun" in told:
                _write_begun(scribe, code, told["begun"])


def _write_begun(scribe: Scribe, code: str, begun: dict[str, Any]) -> None:
    """The last word of work under way, said at the end of the working day before today."""
    day = scribe.shelf.today - timedelta(days=1)
    while day.weekday() >= SATURDAY:
        day -= timedelta(days=1)
    named = (m for m in scribe.place.mechanics if m.username.startswith(begun["mechanic"]))
    by = next(named, scribe.place.mechanics[0])
    service = scribe.shelf.services[code]
    at = scribe.shelf.clock.at(day.toordinal(), 14 * 60 + 45)
    done = service.steps.order_by("position")[: begun.get("steps", 0)]
    SheetEntry.objects.bulk_create(
        SheetEntry(
            machine=scribe.machine, by=by, sheet=f"{scribe.machine.pk:032x}",
            field=f"step_{service.pk}_{step.key or f'step-{step.position}'}",
            label=step.text[:160], value="on", typed_at=at, kept_at=at,
            key=f"begun-{scribe.machine.pk}-{step.pk}",
        )
        for step in done
    )  # fmt: skip
    Progress.objects.create(
        machine=scribe.machine,
        work_key=service_key(scribe.machine.pk, service.pk),
        done_by=by,
        by=by,
        at=at,
        minutes=begun["minutes"],
        minutes_left=begun["left"],
        note=begun["note"],
    )


def write_hold(scribe: Scribe) -> None:
    """The machine that a mechanic ordered to stay."""
    held = scribe.history.unit.story("held")
    if not held:
        return
    at = scribe.shelf.clock.at(scribe.shelf.today.toordinal() - 2, 15 * 60 + 40)
    by = scribe.place.mechanics[0]
    finding = Finding.objects.create(
        machine=scribe.machine,
        seen_at=at,
        seen_by=by,
        text=held["text"],
        gravity=Finding.Gravity.UNSAFE,
        minutes=120,
    )
    Hold.objects.create(
        machine=scribe.machine,
        placed_at=at,
        placed_by=by,
        reason=held["reason"],
        finding=finding,
    )
