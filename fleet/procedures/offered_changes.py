"""What the library says anew since a shop took a procedure, held against what the shop made of it.

Pure.  Three contents are compared, piece by piece: as it was taken, as the shop has it now, as the
library has it now.  A piece that only the shop changed is no offer; one that both changed is, and
says so, so that nobody loses their own words by it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fleet.procedures.following_jobs import following_jobs

Body = Mapping[str, Any]
STEP, LIMIT, HEAD = "step", "limit", "head"
HEADS = {"minutes": "Minutes", "cautions": "Cautions", "needs": "From the shelf"}
"""What of a procedure's head the library may say anew; its name is the shop's."""


@dataclass(frozen=True)
class OfferedChange:
    """One piece that the library says anew.

    key: its name on the form.  old: as it was taken, new: as it is now, "" where there is none.
    own: as the shop has it, where the shop changed it too.
    """

    key: str
    title: str
    old: str
    new: str
    own: str = ""

    @property
    def what(self) -> str:
        """What happened to it in the library."""
        return "new" if not self.old else "taken out" if not self.new else "changed"


def offered_changes(base: Body, own: Body, new: Body) -> list[OfferedChange]:
    """Return the pieces that differ between the content as taken and the library's of today."""
    return [*_heads(base, own, new), *_rows(STEP, "steps", "key", base, own, new),
            *_rows(LIMIT, "limits", "name", base, own, new)]  # fmt: skip


def _heads(base: Body, own: Body, new: Body) -> Iterator[OfferedChange]:
    for name, title in HEADS.items():
        old, now, mine = (_plain(body.get(name)) for body in (base, new, own))
        if now not in {old, mine}:
            yield OfferedChange(f"{HEAD}:{name}", title, old, now, mine if mine != old else "")


def _rows(
    kind: str, rows: str, named: str, base: Body, own: Body, new: Body
) -> Iterator[OfferedChange]:
    was, now, mine = ({one[named]: one for one in body.get(rows, ())} for body in (base, new, own))
    for name in [*now, *(gone for gone in was if gone not in now)]:
        if was.get(name) == now.get(name) or mine.get(name) == now.get(name):
            continue
        changed = name in mine and mine[name] != was.get(name)
        yield OfferedChange(
            f"{kind}:{name}",
            _title(kind, now.get(name) or was[name]),
            _said(was.get(name)),
            _said(now.get(name)),
            _said(mine[name]) if changed else "",
        )


def _title(kind: str, row: Mapping[str, Any]) -> str:
    return f"Step “{row['text'][:40]}…”" if kind == STEP else f"Measured: {row['name']}"


def _said(row: Mapping[str, Any] | None) -> str:
    """Say a row with all that it holds, its text first."""
    if row is None:
        return ""
    rest = [
        f"{name.replace('_', ' ')} {_job(value) if name == 'then' else _plain(value)}"
        for name, value in row.items()
        if name not in ("text", "name", "key") and value not in (None, "", False, 1.0)
    ]
    return f"{row.get('text') or row.get('name')} ({', '.join(rest)})" if rest else row["text"]


def _job(code: str) -> str:
    """Return the name of a job of the library, else what the shop calls its own."""
    known = following_jobs().get(code)
    return f"“{known.name if known else code}”"


def _plain(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {share:g}" for name, share in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value))
    return f"{value:g}" if isinstance(value, float) else str(value)
