"""A machine by the tag that it carries or once carried; of two entries, the one that stays."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from fleet.models import FormerTag, Machine
from fleet.queries.bare_tag import with_bare_tag


def machine_called(machines: QuerySet[Machine], tag: str) -> Machine | None:
    """Return one of these machines by its tag of today, else by a former one; 3 queries at most.

    A machine that was merged into another gives way to that one.
    """
    found = machines.filter(tag=tag).first()
    if found is not None and found.merged_into_id is None:
        return found
    pk = found.merged_into_id if found is not None else keeper_of(tag)
    return machines.filter(pk=pk).first() if pk else None


def sought_by_label(machines: QuerySet[Machine], said: str) -> Machine | None:
    """Return one of these machines by what stands on its label: tag or serial, in capitals or not.

    Else by its tag without hyphen, or by its number alone, where one machine alone has that.  Five
    queries at most.
    """
    if not said:
        return None
    found = machine_called(machines, said)
    if found is None:
        either = Q(tag__iexact=said) | Q(serial__iexact=said)
        found = machines.filter(either, merged_into=None).order_by("tag").first()
    if found is None:
        alike = with_bare_tag(machines.filter(merged_into=None), said)[:2]
        found = alike[0] if len(alike) == 1 else None
    return found


def keeper_of(tag: str) -> int | None:
    """Return the key of the machine that gave this tag up last, or was merged with that."""
    row = FormerTag.objects.filter(tag=tag).values_list("machine", "machine__merged_into").first()
    return None if row is None else row[1] or row[0]


def led_by_former_tags(tags: Iterable[str]) -> dict[str, int]:
    """Return which machines some tags lead to that nobody carries, in capitals or not; one query.

    The text is in capitals, the latest that gave it up comes first.
    """
    wanted = {tag.upper() for tag in tags}
    rows = FormerTag.objects.order_by("given_up_at", "pk")
    found = {}
    for tag, machine, merged in rows.values_list("tag", "machine", "machine__merged_into"):
        if tag.upper() in wanted:
            found[tag.upper()] = merged or machine
    return found


def tag_of_today(tag: str) -> str:
    """Return the tag that the machine of this one carries now; the same where nothing is known."""
    own = Machine.objects.filter(tag=tag).values_list("merged_into__tag").first()
    if own is not None:
        return own[0] or tag
    pk = keeper_of(tag)
    if pk is None:
        return tag
    return Machine.objects.filter(pk=pk).values_list("tag", flat=True).first() or tag
