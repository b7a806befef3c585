"""The workbook of an owner who has kept a fleet in it for years, with the mess that people make.

60 machines, 300 past services, 40 bookings and 2,700 readings, drawn from a seed: tags in small
letters or with a blank for the dash, hours with a comma and with their unit, days as text with the
day first, a title above the headings, headings that come again, blank rows, a service written in
capitals, and one row for a machine that nobody knows.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from openpyxl import Workbook

MACHINES, SERVICES, BOOKINGS, READINGS = 60, 300, 40, 2700
UNKNOWN = "ZZ-99"


@dataclass(frozen=True)
class Kind:
    """A make-up: its class, maker and model, and every how many hours or months which service."""

    of_class: str
    maker: str
    model: str
    letter: str
    services: dict[str, tuple[int | None, int | None]]

    @property
    def metered(self) -> bool:
        """Whether it has an hour meter."""
        return any(hours for hours, _ in self.services.values())


OIL, GREASE = "Engine oil and filter", "Grease all points"
KINDS = (
    Kind("Skid steers", "Boulder", "S70", "S", {OIL: (250, 12), GREASE: (50, None)}),
    Kind("Mini excavators", "Boulder", "E17", "X", {OIL: (250, 12), "Track tension": (100, None)}),
    Kind("Quads", "Kestrel", "Trail 450", "Q", {OIL: (100, 12)}),
    Kind("Trailers", "Ashby", "T14", "T", {"Brakes and bearings": (None, 12)}),
    Kind("Gensets", "Ashby", "G20", "G", {OIL: (200, 12)}),
    Kind("Lifts", "Northway", "B45", "L", {GREASE: (100, None), "Yearly look-over": (None, 12)}),
)


@dataclass(frozen=True, eq=False)
class Kept:
    """A machine as the owner has it: day of its start, and hours a day since."""

    tag: str
    kind: Kind
    yard: str
    start: date
    pace: float

    def hours(self, day: date) -> float:
        """What its meter showed on a day."""
        return round(max(0, (day - self.start).days) * self.pace, 1)


def fleet(rng: Random, today: date) -> list[Kept]:
    """Draw the machines, as many of each kind."""
    return [
        Kept(
            f"{KINDS[n % len(KINDS)].letter}-{n + 1:02d}", KINDS[n % len(KINDS)],
            rng.choice(["North yard", "Creek yard"]),
            today - timedelta(days=rng.randrange(500, 1800)), rng.uniform(0.4, 3),
        )
        for n in range(MACHINES)
    ]  # fmt: skip


def write_workbook(path: Path, today: date, seed: int = 5) -> None:
    """Write the workbook as it would be on a day."""
    rng = Random(seed)
    machines = fleet(rng, today)
    book = Workbook()
    book.remove(book.active)
    sheets = {
        "Fleet list": _machines(machines),
        "What was done": _services(rng, machines, today),
        "How often": _intervals(),
        "Shelf": [["Part no.", "Description", "In stock", "Unit", "Price"],
                  ["HC-100", "oil filter", 14, "pcs", "$11.50"],
                  ["HC-101", "engine oil 15W-40", 60, "litres", "$6.20"]],
        "Staff": [["Name", "Job", "E-mail", "Hours per week"],
                  ["Tib Marsh", "Mechanic", "tib@hollow.example", 40],
                  ["Ola Reed", "mechanic", "ola@hollow.example", "32 h"],
                  ["Cass Lund", "Rental desk", "cass@hollow.example", None]],
        "Rentals": _bookings(rng, machines, today),
        "Meter readings": _readings(rng, machines, today),
    }  # fmt: skip
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)


def _day(day: date) -> str:
    return day.strftime("%d/%m/%Y")


def _typed(rng: Random, tag: str) -> str:
    """Return a tag as somebody in a hurry types it."""
    return rng.choice([tag, tag, tag, tag.lower(), tag.replace("-", " "), f" {tag} "])


def _hours(rng: Random, hours: float) -> str:
    return f"{hours:,.1f}" + rng.choice(["", "", " h"])


def _machines(machines: list[Kept]) -> list[list[Any]]:
    head = ["Unit no.", "Class", "Make", "Model", "Serial no.", "Home yard", "In service since"]
    rows: list[list[Any]] = [["Hollow Creek Rentals: our fleet"], [], head]
    for n, one in enumerate(machines):
        kind = one.kind
        rows.append([
            one.tag, kind.of_class, kind.maker, kind.model, f"{kind.letter}{400100 + 37 * n}",
            one.yard, _day(one.start),
        ])  # fmt: skip
        if n == MACHINES // 2:
            rows.append(head)
    return rows


def _services(rng: Random, machines: list[Kept], today: date) -> list[list[Any]]:
    """Draw past services, the last of each machine and service among them."""
    rows: list[list[Any]] = [["Unit", "Work done", "Date", "Hours (h)", "Minutes", "Remarks"]]
    pairs = [(one, service) for one in machines for service in one.kind.services]
    done = pairs + [rng.choice(pairs) for _ in range(SERVICES - len(pairs))]
    days = {pair: today - timedelta(days=rng.randrange(5, 90)) for pair in pairs}
    for n, (one, service) in enumerate(done):
        day = days[one, service] - timedelta(days=0 if n < len(pairs) else rng.randrange(30, 300))
        hours = _hours(rng, one.hours(day)) if one.kind.metered else None
        name = service.upper() if n % 17 == 0 else service
        rows.append([_typed(rng, one.tag), name, _day(day), hours, 45, rng.choice(["", "ok"])])
        if n % 80 == 0:
            rows.append([])
    return [*rows, [UNKNOWN, GREASE, _day(today), "12", 30, ""]]


def _intervals() -> list[list[Any]]:
    rows: list[list[Any]] = [["Make", "Model", "Service", "Every (h)", "Months", "Manual page"]]
    return rows + [
        [kind.maker, kind.model, service, hours, months, "4-2"]
        for kind in KINDS
        for service, (hours, months) in kind.services.items()
    ]


def _bookings(rng: Random, machines: list[Kept], today: date) -> list[list[Any]]:
    rows: list[list[Any]] = [["Unit", "Customer", "From", "To", "Value"]]
    for n, one in enumerate(machines[:BOOKINGS]):
        first = today + timedelta(days=rng.randrange(-60, 30))
        last = first + timedelta(days=rng.randrange(6))
        rows.append([_typed(rng, one.tag), f"Customer {n + 1}", _day(first), _day(last), "$240.00"])
    return rows


def _readings(rng: Random, machines: list[Kept], today: date) -> list[list[Any]]:
    metered = [one for one in machines if one.kind.metered]
    rows = [
        [_typed(rng, one.tag), _day(day), _hours(rng, one.hours(day))]
        for one in metered
        for day in (
            today - timedelta(days=1 + 7 * week) for week in range(READINGS // len(metered))
        )
    ]
    rng.shuffle(rows)
    return [["Unit", "Date", "Hours"], *rows]
