"""Columns of a file of readings, found by the names that people give them."""

import re
from dataclasses import dataclass

NAMES = {
    "machine": ("machine", "tag", "fleet tag", "machine tag", "unit no", "unit number",
                "equipment", "equipment id", "asset", "asset id", "id"),
    "meter": ("meter", "meter kind", "meter type", "kind", "type"),
    "when": ("read at", "read on", "when", "date", "datetime", "date time", "timestamp",
             "date read", "reading date", "date and time", "day"),
    "clock": ("time", "time read", "reading time", "read time"),
    "value": ("value", "reading", "meter reading", "shows", "shown"),
    "unit": ("unit", "units", "uom"),
}  # fmt: skip
"""Names of each column, lower case."""

VALUE_NAMES = {
    "hours": ("hours", ""), "hour meter": ("hours", ""), "engine hours": ("hours", ""),
    "meter hours": ("hours", ""), "h": ("hours", "h"), "odometer": ("odometer", ""),
    "distance": ("odometer", ""), "miles": ("odometer", "mi"), "mi": ("odometer", "mi"),
    "km": ("odometer", "km"), "kilometres": ("odometer", "km"), "kilometers": ("odometer", "km"),
    "cycles": ("cycles", ""),
}  # fmt: skip
"""Names of a column of values that also say which meter, and perhaps in which unit."""
UNIT_IN_BRACKETS = re.compile(r"[(\[]\s*(h|hrs|hours|min|minutes|mi|miles|km|cycles)\s*[)\]]")

NAMED = 20
"""Columns of a file that a refusal names at most."""


class FileRefused(Exception):
    """A file that cannot be read at all; the text is a sentence for the person who gave it."""


@dataclass(frozen=True)
class Columns:
    """Where the parts of a reading stand in a row; None: not in this file."""

    machine: int
    when: int
    value: int
    clock: int | None = None
    meter: int | None = None
    unit: int | None = None
    says_meter: str = ""
    says_unit: str = ""
    """What the name of the value's column says of the meter and the unit."""


def plain(name: str) -> str:
    """Return a column's name without case, marks and what stands in brackets."""
    bare = re.sub(r"[(\[].*?[)\]]", " ", name.lower())
    return " ".join(re.sub(r"[^a-z0-9]+", " ", bare).split())


def find_columns(names: list[str]) -> Columns | None:
    """Return the columns of a header row, or None if this is none."""
    found: dict[str, int] = {}
    for place, name in enumerate(map(plain, names)):
        part = next((part for part, known in NAMES.items() if name in known), "")
        if part or name in VALUE_NAMES:
            found.setdefault(part or "value", place)
    if "when" not in found and "clock" in found:
        found["when"] = found.pop("clock")
    if not {"machine", "when", "value"} <= found.keys():
        return None
    title = names[found["value"]]
    meter, unit = VALUE_NAMES.get(plain(title), ("", ""))
    in_brackets = UNIT_IN_BRACKETS.search(title.lower())
    return Columns(**found, says_meter=meter, says_unit=in_brackets[1] if in_brackets else unit)


def refuse_columns(names: list[str]) -> FileRefused:
    """Return the refusal of a file whose columns were not found, naming what it has."""
    known = {name for group in NAMES.values() for name in group} | VALUE_NAMES.keys()
    there = [f"“{name.strip()[:30]}”" for name in names if name.strip()]
    has = ", ".join(there[:NAMED]) or "none"
    if len(there) > NAMED:
        has += f" and {len(there) - NAMED:,} more"
    wrong = "" if any(plain(name) in known for name in names) else " in its first row"
    return FileRefused(
        f"The file's columns{wrong} are {has}; it must have a column for the machine's tag"
        " (“machine”), one for the date (“read at”) and one for what the meter showed (“value”);"
        " “meter” and “unit” may stand beside them."
    )
