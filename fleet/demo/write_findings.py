"""What the mechanics measured and found, and the hold of the demo, as facts."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from fleet.demo.ledger import Ledger
from fleet.demo.looks import Look
from fleet.demo.write_use import Scribe
from fleet.models import Finding, Hold, Limit, Measurement, ServiceRecord

FOUND_SHARE = 0.07
"""Share of services at which something is found."""
LONGEST_WAIT = 40
"""Days within which a finding is settled."""


def _good_value(scribe: Scribe, limit: Limit) -> float:
    """A value inside a limit, nearer to its middle than to its ends."""
    if limit.low is not None:
        low = limit.low
        high = limit.high if limit.high is not None else low * 1.6
    else:
        high = limit.high or 0.0
        low = high - 8 if high < 0 else high * 0.3
    return round(low + (high - low) * float(scribe.rng.beta(3, 3)), 2)


def write_measurements(
    scribe: Scribe,
    ledger: Ledger,
    records: Sequence[tuple[Look, ServiceRecord]],
    limits: dict[str, list[Limit]],
) -> None:
    """A value for every limit of every service done; the worn machine's one runs to its limit."""
    worn = scribe.history.unit.story("worn")
    of_worn = [r for _, r in records if worn and r.service and r.service.code == worn["service"]]
    for _, record in records:
        code = record.service.code if record.service else ""
        for limit in limits.get(code, []):
            value = _good_value(scribe, limit)
            if worn and record in of_worn and limit.name == worn["limit"]:
                share = (of_worn.index(record) + 1) / (len(of_worn) + 0.4)
                value = round((limit.high or 1) * (0.55 + 0.42 * share), 2)
            ledger.measurements.append(Measurement(record=record, limit=limit, value=value))


def write_findings(
    scribe: Scribe,
    ledger: Ledger,
    records: Sequence[tuple[Look, ServiceRecord]],
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
