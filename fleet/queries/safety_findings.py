"""Findings for safety that are open: asked about before a machine goes out again."""

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Finding, Hold, Machine


def safety_finding() -> Q:
    """Return what makes a finding one for safety: not safe, or seen at a point for safety."""
    return Q(gravity=Finding.Gravity.UNSAFE) | Q(safety=True)


def _open() -> QuerySet[Finding]:
    held = Hold.objects.filter(finding=OuterRef("pk"), released_at=None)
    return Finding.objects.filter(safety_finding(), ~Exists(held), settled_at=None, struck=False)


def open_safety_findings(machine: Machine) -> list[Finding]:
    """Return those of a machine that are open and hold it no more; one query, oldest first.

    What a hold hangs on keeps the machine by itself, so that nobody has to be asked.
    """
    rows = _open().filter(machine=machine).select_related("machine", "seen_by")
    return list(rows.order_by("seen_at", "pk"))


def asks_for_safety(machine: str) -> Exists:
    """Whether a machine has such findings, beside a query of something that is of machines.

    machine: the field that leads to its number.
    """
    return Exists(_open().filter(machine=OuterRef(machine)))


def holds_on(machine: str) -> Exists:
    """Whether a hold hangs on a machine, beside such a query."""
    return Exists(Hold.objects.filter(machine=OuterRef(machine), released_at=None))
