"""What somebody just did is remembered for ten minutes, so that one press can take it back."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model

from fleet.models import Act, Machine, Person


@dataclass(frozen=True)
class SentSheet:
    """A job sheet as it was sent.  key: of its form; typed: field -> value."""

    key: str
    typed: Mapping[str, str]


def remember_act(
    what: Act.What,
    words: str,
    rows: Mapping[str, Iterable[Model] | SentSheet],
    *,
    by: Person | None,
    now: datetime,
    machine: Machine | None = None,
) -> None:
    """Keep an act inside the caller's transaction, with one query; the same act twice is one.

    words: what would be undone, as in "the return of E-07".  rows: kind -> the rows that it
    brought, as `undo_acts` knows them, or the sheet that it was written from, to stand there again.
    What nobody in particular did is not remembered.
    """
    keys: dict[str, list[Any]] = {
        kind: found
        for kind, brought in rows.items()
        if not isinstance(brought, SentSheet) and (found := [row.pk for row in brought])
    }
    if by is None or not keys:
        return
    kind, first = next(iter(keys.items()))
    sheets = {kind: one for kind, one in rows.items() if isinstance(one, SentSheet)}
    keys |= {name: [one.key, dict(one.typed)] for name, one in sheets.items()}
    act = Act(
        what=what, by=by, at=now, machine=machine, words=words[:200], rows=keys,
        key=_key(what, kind, first[0]),
    )  # fmt: skip
    Act.objects.bulk_create([act], ignore_conflicts=True)


def add_to_act(what: Act.What, first: tuple[str, Model], kind: str, brought: Model) -> None:
    """Let an act that was just kept bring one row more.

    first: kind and row by which it was kept, the first that it brought.
    """
    act = Act.objects.filter(key=_key(what, first[0], first[1].pk)).first()
    if act is not None:
        act.rows = {**act.rows, kind: [brought.pk]}
        act.save(update_fields=["rows"])


def _key(what: Act.What, kind: str, pk: int) -> str:
    return f"{what}:{kind}:{pk}"
