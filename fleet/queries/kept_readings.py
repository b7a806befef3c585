"""Readings that wait to be mended, and those that were settled."""

from django.db.models import Count, Q, QuerySet

from fleet.models import Person, ReadingToMend


def kept_for(person: Person) -> QuerySet[ReadingToMend]:
    """Return the kept readings that a person may settle: of their shop, or of no known machine."""
    rows = _shown()
    if person.only_shop_id:
        rows = rows.filter(Q(machine=None) | Q(machine__yard__shop=person.only_shop_id))
    return rows


def to_mend(person: Person) -> QuerySet[ReadingToMend]:
    """Return what waits, the newest file first and each file by line."""
    return kept_for(person).filter(mended_at=None).order_by("-entered_at", "line", "pk")


def settled(person: Person) -> QuerySet[ReadingToMend]:
    """Return what was settled, the latest first."""
    return kept_for(person).exclude(mended_at=None).order_by("-mended_at", "pk")


def reasons_waiting(rows: QuerySet[ReadingToMend]) -> list[tuple[str, int]]:
    """Return the reasons for which more than one reading waits, the most frequent first."""
    counts = rows.order_by().values("reason").annotate(count=Count("pk")).filter(count__gt=1)
    return [(one["reason"], one["count"]) for one in counts.order_by("-count", "reason")]


def as_it_is_now(kept: ReadingToMend) -> ReadingToMend:
    """Return a kept reading as it stands once it was answered; one query."""
    return _shown().get(pk=kept.pk)


def _shown() -> QuerySet[ReadingToMend]:
    return ReadingToMend.objects.select_related(
        "machine__yard", "entered_by", "mended_by", "mended_as__meter__machine__yard"
    )
