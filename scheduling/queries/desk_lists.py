"""What the desk keeps in mind beside the day: classes without a machine, and who waits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import ClassLine, Person, Waiting
from fleet.models.hires import NO_MACHINE
from fleet.queries.mine import shops_of
from scheduling.queries.open_classes import ClassesToChoose, classes_to_choose
from scheduling.queries.waits_to_serve import waits_of


@dataclass(frozen=True)
class DeskLists:
    """Classes that go out soon without a machine, and who waits for one."""

    classes: ClassesToChoose
    waits: Sequence[Waiting]


def shops_with_lists(person: Person) -> QuerySet[Any]:
    """Return a person's shops, with whether each has open classes, and somebody who waits."""
    lines = ClassLine.objects.filter(NO_MACHINE, cancelled_at=None, yard__shop=OuterRef("pk"))
    waits = Waiting.objects.filter(over_at=None, yard__shop=OuterRef("pk"))
    return shops_of(person).annotate(has_lines=Exists(lines), has_waits=Exists(waits))


def desk_lists(shops: Sequence[Any], today: date) -> DeskLists:
    """Gather both for shops as `shops_with_lists` returns them; a query for each that is there."""
    with_lines = [shop for shop in shops if shop.has_lines]
    with_waits = [shop for shop in shops if shop.has_waits]
    classes = classes_to_choose(with_lines, today) if with_lines else ClassesToChoose([], today)
    waits = list(waits_of(with_waits, today)) if with_waits else []
    return DeskLists(classes, sorted(waits, key=lambda row: row.told_at is None))
