"""What is not in order on a walk-round becomes a finding, once; a point for safety holds it."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Protocol

from fleet.actions.hold_machines import hold_for_new
from fleet.models import Finding, HandOver, Hold, Machine, Person


class SeenPoints(Protocol):
    """What was seen on a walk-round."""

    @property
    def note(self) -> str:
        """What was said with it."""

    @property
    def reason(self) -> str:
        """Why the machine may go although a point for safety is not in order."""

    @property
    def wrong(self) -> list[str]:
        """The points that are not in order."""

    @property
    def unsafe(self) -> list[str]:
        """Those of them that are for safety."""


def note_faults(
    machine: Machine,
    seen: SeenPoints,
    said: str,
    *,
    by: Person | None,
    now: datetime,
    row: HandOver | None = None,
) -> list[Finding]:
    """Note each point that is not in order, unless it is noted and open; return what is noted.

    said: when it was seen, as in "at return".  row: the hand-over, if there is one by now.  Holds
    that are hung stand in `just_hung`.

    A point for safety holds the machine, unless somebody gave a reason why it may go.  What hangs
    on an open finding of the same point already is not hung again.
    """
    if not seen.wrong:
        return []
    found = _noted(machine, seen.wrong)
    belong_to(row, found.values())
    fresh = [
        Finding(
            machine=machine,
            seen_at=now,
            seen_by=by,
            gravity=_gravity(seen, point),
            text=fault_text(said, point, seen.note),
            hand_over=row,
            point=point,
            safety=point in seen.unsafe,
        )
        for point in seen.wrong
        if point not in found
    ]
    Finding.objects.bulk_create(fresh)
    noted = [*found.values(), *fresh]
    if by is not None and seen.unsafe and not seen.reason:
        held = _held(found.values())
        for one in noted:
            if one.point in seen.unsafe and one.pk not in held:
                one.just_hung = [hold_for_new(one, by=by, now=now)]
    return noted


def _held(findings: Iterable[Finding]) -> set[int | None]:
    """Return the keys of those on which a hold hangs."""
    keys = [one.pk for one in findings]
    rows = Hold.objects.filter(finding__in=keys, released_at=None)
    return set(rows.values_list("finding_id", flat=True)) if keys else set()


def _noted(machine: Machine, points: Sequence[str]) -> dict[str, Finding]:
    """Return the open findings at these points of a machine, by point."""
    rows = Finding.objects.filter(machine=machine, point__in=points, settled_at=None, struck=False)
    return {one.point: one for one in rows.select_related("machine").order_by("-pk")}


def belong_to(row: HandOver | None, findings: Iterable[Finding]) -> None:
    """Say that what was noted before its hand-over could be written was seen at it."""
    loose = [one for one in findings if one.hand_over_id is None]
    if row is not None and loose:
        Finding.objects.filter(pk__in=[one.pk for one in loose]).update(hand_over=row)


def _gravity(seen: SeenPoints, point: str) -> str:
    if point in seen.unsafe and not seen.reason:
        return Finding.Gravity.UNSAFE
    return Finding.Gravity.DEFECT


def fault_text(said: str, point: str, note: str) -> str:
    """Return what is noted of a point that is not in order."""
    return f"At {said}, not in order: {point.lower()}{f' ({note})' if note else ''}"[:400]
