"""What somebody just did is remembered for ten minutes, so that one press can take it back."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.db.models import Model

from fleet.models import Act, Machine, Person


def remember_act(
    what: Act.What,
    words: str,
    rows: Mapping[str, Iterable[Model]],
    *,
    by: Person | None,
    now: datetime,
    machine: Machine | None = None,
) -> None:
    """Keep an act inside the caller's transaction, with one query; the same act twice is one.

    words: what would be undone, as in "the return of E-07".  rows: kind -> the rows that it
    brought, as `undo_acts` knows them.  What nobody in particular did is not remembered.
    """
    keys = {kind: [row.pk for row in brought] for kind, brought in rows.items()}
    keys = {kind: found for kind, found in keys.items() if found}
    if by is None or not keys:
        return
    kind, first = next(iter(keys.items()))
    act = Act(
        what=what, by=by, at=now, machine=machine, words=words[:200], rows=keys,
        key=f"{what}:{kind}:{first[0]}",
    )  # fmt: skip
    Act.objects.bulk_create([act], ignore_conflicts=True)
