"""What becomes of rows: added, there already, refused or skipped; and how it is told."""

from dataclasses import dataclass, field
from typing import Any

from fleet.bring_in.sheet_kinds import SheetKind

MOST_KEPT = 20_000
"""Refused rows that are kept word by word, to be given back as a file."""
MOST_DOUBTS = 200
"""Doubts that are told of one sheet; more of them are counted."""


class RowTrouble(Exception):
    """A row that cannot come in; the sentence says why and how to put it right."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class RefusedLine:
    """A row that was refused: where it stands, what it says, and why."""

    line: int
    cells: list[str]
    reason: str


@dataclass
class SheetReport:
    """What became of the rows of one sheet; kind "" where it was left out.

    rows: all below the heading in which something stands; rows = added + same + refused + skipped.
    doubts: (line, sentence), line 0 for the whole sheet.  order: the order of day and month that
    was taken; asks_order: the dates can be read both ways.
    """

    name: str
    kind: SheetKind | None = None
    titles: list[str] = field(default_factory=list)
    columns: dict[str, int] = field(default_factory=dict)
    rows: int = 0
    added: int = 0
    same: int = 0
    refused: int = 0
    skipped: int = 0
    refusals: list[RefusedLine] = field(default_factory=list)
    doubts: list[tuple[int, str]] = field(default_factory=list)
    more_doubts: int = 0
    order: str = ""
    asks_order: bool = False
    note: str = ""
    separator: str = ""

    def refuse(self, line: int, cells: list[str], reason: str) -> None:
        """Count a row as refused, and keep it with its reason."""
        self.refused += 1
        if len(self.refusals) < MOST_KEPT:
            self.refusals.append(RefusedLine(line, list(cells), reason))

    def refused_by_reason(self) -> list[tuple[list[int], str]]:
        """Return the lines that were refused for each reason, in the order in which it came up."""
        lines: dict[str, list[int]] = {}
        for one in self.refusals:
            lines.setdefault(one.reason, []).append(one.line)
        return [(found, reason) for reason, found in lines.items()]

    def doubt(self, line: int, sentence: str) -> None:
        """Tell what is doubtful of a row that comes in."""
        if len(self.doubts) < MOST_DOUBTS:
            self.doubts.append((line, sentence))
        else:
            self.more_doubts += 1

    def counts(self) -> dict[str, Any]:
        """Return name, kind and counts, as the command prints them."""
        return {
            "name": self.name,
            "kind": self.kind.value if self.kind else None,
            "rows": self.rows,
            "added": self.added,
            "same": self.same,
            "refused": self.refused,
            "skipped": self.skipped,
        }
