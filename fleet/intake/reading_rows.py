"""One row of readings as it came, whatever the file."""

from hashlib import sha256
from typing import NamedTuple

from fleet.intake.headers import Columns


class ReadingRow(NamedTuple):
    """The texts of one reading, and the whole row as it stood in the file.

    mark: the fingerprint under which a row was kept to be mended, when it is tried again.
    """

    line: int
    machine: str
    meter: str
    when: str
    value: str
    raw: str = ""
    mark: str = ""

    @property
    def fingerprint(self) -> str:
        """What makes it the same row, wherever it stands in whichever file."""
        if self.mark:
            return self.mark
        return mark_of_texts(self.machine, self.meter, self.when, self.value)


def mark_of_texts(machine: str, meter: str, when: str, value: str) -> str:
    """Return the fingerprint of a reading's texts as they were written."""
    parts = (machine.casefold(), meter.casefold(), when, value)
    return sha256("\x1f".join(parts).encode()).hexdigest()


def row_of(cells: list[str], columns: Columns, line: int) -> ReadingRow | None:
    """Return the reading of a row; None for a row in which nothing stands."""
    texts = [cell.strip() for cell in cells]
    if not any(texts):
        return None

    def at(place: int | None) -> str:
        return texts[place] if place is not None and place < len(texts) else ""

    value = at(columns.value)
    if value and value[-1].isdigit():
        value = f"{value} {at(columns.unit) or columns.says_unit}".strip()
    meter = at(columns.meter) or columns.says_meter
    when = f"{at(columns.when)} {at(columns.clock)}".strip()
    return ReadingRow(line, at(columns.machine), meter, when, value, " | ".join(texts))
