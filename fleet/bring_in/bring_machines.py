"""Rows of make-ups and of machines: identity, home, meters and what they showed at the start."""

import re
from decimal import Decimal

from fleet.bring_in.import_run import ImportRun, LaterReading, go_through
from fleet.bring_in.make_missing import class_named, makeup_of, yard_of
from fleet.bring_in.meter_values import shown_values
from fleet.bring_in.one_shop import refuse_others_machine, refuse_others_yard
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import said_once
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.folded_names import squeezed
from fleet.identity import normal_serial, same_serial
from fleet.intake.resolving import kind_named
from fleet.models import Machine, MakeUp, MakeUpMeter
from fleet.models.machines import TAG_AS_IN_ADDRESSES
from fleet.possible_values import odd_year

FURTHEST_YEAR = 9999
LONGEST_TAG = 20
MOST_LEFT = 5
"""Fields that one sentence names at most."""


def bring_makeups(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring in make-ups with their meters."""
    go_through(sheet, run, _makeup)


def _makeup(row: SheetRow, run: ImportRun) -> bool:
    first, last = _year(row, "first_year", run), _year(row, "last_year", run)
    if first and last and last < first:
        raise RowTrouble("The last model year is before the first.")
    meters = _meters(row)
    known = set(map(id, (one for rows in run.site.makeups.exact.values() for one in rows)))
    makeup = _given(row, run, first)
    rate = row.amount("day_rate", 0, 10**6)
    if id(makeup) in known:
        if row.text("class") and squeezed(str(makeup.machine_class)) != squeezed(row.text("class")):
            row.doubt(f"{makeup} is there already, in the class {makeup.machine_class}.")
        return _add_meters(makeup, meters, run)
    makeup.first_year, makeup.last_year = first, last
    makeup.manual = row.text("manual")[:160]
    if rate is not None and makeup.machine_class.pk is None:
        makeup.machine_class.day_rate = Decimal(f"{rate:.2f}")
    _add_meters(makeup, meters, run)
    return True


def _given(row: SheetRow, run: ImportRun, first_year: int | None) -> MakeUp:
    """Return the make-up of a row of the sheet of make-ups: such a row is there to make it."""
    if row.text("class"):
        class_named(row.text("class"), run)
    elif not run.make_missing:
        _refuse_new(row, run)
    makeup = makeup_of(row, run, first_year, new=True)
    if makeup is None:
        raise RowTrouble("No make-up is named; write its maker and model.")
    return makeup


def _refuse_new(row: SheetRow, run: ImportRun) -> None:
    """Refuse a make-up without a class, unless it is there already."""
    named = f"{row.text('maker')} {row.text('model') or row.text('makeup')}".strip()
    if said_once(run.site.makeups, named, "make-up") is None:
        raise RowTrouble(f"No class is given for {named}; the counter rents machines out by class.")


def _meters(row: SheetRow) -> list[str]:
    """Return the kinds of meter that a row lists: "hours, odometer"."""
    kinds = []
    for word in re.split(r"[,;/+&]| and | y | et | und ", row.text("meters").lower()):
        if not word.strip() or word.strip() in ("none", "no", "-"):
            continue
        kind = kind_named(word.strip()) or kind_named(word.strip().rstrip("s"))
        if kind is None:
            raise RowTrouble(f"“{word.strip()}” is not a meter; write hours, odometer or cycles.")
        kinds.append(kind.value)
    return kinds


def _add_meters(makeup: MakeUp, kinds: list[str], run: ImportRun) -> bool:
    new = [kind for kind in kinds if kind not in run.site.kinds[id(makeup)]]
    for kind in new:
        run.site.kinds[id(makeup)].add(kind)
        run.make(MakeUpMeter(makeup=makeup, kind=kind))
    return bool(new)


def bring_machines(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring in machines; each gets the meters of its make-up and of its row."""
    before = len(run.pending[Machine])
    go_through(sheet, run, _machine)
    for machine in run.pending[Machine][before:]:
        assert isinstance(machine, Machine)
        has = run.site.has_kinds(machine)
        for kind in sorted(run.site.kinds[id(machine.makeup)] - set(has)):
            run.fit(machine, kind)


def _machine(row: SheetRow, run: ImportRun) -> bool:
    tag = row.text("tag")
    if not tag:
        raise RowTrouble("No tag is given; each machine needs one.")
    year = _year(row, "year", run)
    started = row.day("started_on", run.now)
    serial = row.text("serial")
    if known := said_once(run.site.machines, tag, "tag"):
        refuse_others_machine(known, run.only)
        return _known(row, known, serial)
    if len(tag) > LONGEST_TAG or not re.fullmatch(TAG_AS_IN_ADDRESSES.regex, tag):
        raise RowTrouble(
            f"“{tag}” is no tag: at most {LONGEST_TAG} characters, no /, ? or #, no end of a line,"
            " and not dots alone."
        )
    if serial and (other := run.site.serials.get(normal_serial(serial))):
        refuse_others_machine(other, run.only)
        raise RowTrouble(f"{other.tag} has the serial number {serial} already.")
    rate = row.amount("day_rate", 0, 10**6)
    units = _units(row, run)
    at_start, now = _shown(row, units)
    makeup = makeup_of(row, run, year)
    if makeup is None:
        raise RowTrouble("No make-up is given; write maker and model, or the class.")
    span = {"first": makeup.first_year, "last": makeup.last_year}
    if year and (oddity := odd_year(year, today=run.now.date(), **span)):
        row.doubt(oddity.sentence)
    machine = Machine(
        tag=tag,
        serial=serial[:40],
        plate=row.text("plate")[:20],
        makeup=makeup,
        yard=yard_of(row, run),
        year=year,
        started_on=started,
        day_rate=None if rate is None else Decimal(f"{rate:.2f}"),
        notes=row.text("notes"),
    )
    run.make(machine)
    run.site.add_machine(machine)
    run.concern(machine)
    for kind, value in at_start:
        run.fit(machine, kind, value)
    for kind, value in now:
        if kind not in [first for first, _ in at_start]:
            run.fit(machine, kind)
        run.later.append(LaterReading(machine, kind, value, run.now.isoformat(" ", "seconds")))
    return True


def _year(row: SheetRow, field: str, run: ImportRun) -> int | None:
    """Return a model year; one that cannot be is refused."""
    year = row.whole(field, 0, FURTHEST_YEAR)
    oddity = odd_year(year, today=run.now.date()) if year else None
    if oddity and oddity.impossible:
        raise RowTrouble(oddity.sentence)
    return year


def _units(row: SheetRow, run: ImportRun) -> str:
    """Return the units of the yard that a row names, or those of a yard to be made."""
    yard = said_once(run.site.yards, row.text("yard"), "yard") if row.text("yard") else None
    if yard:
        refuse_others_yard(yard, run.only)
    return yard.units if yard else run.units


Values = list[tuple[str, float]]


def _shown(row: SheetRow, units: str) -> tuple[Values, Values]:
    """Return what the meters showed at the start, and what they show now.

    A bare "Hours" is of the start where the sheet has a column for it, else of now.
    """
    start: Values = [*shown_values(row, units, "_start")]
    now: Values = [*shown_values(row, units, "_now")]
    bare = [
        (kind, value)
        for kind, value in shown_values(row, units)
        if kind not in [one for one, _ in start]
    ]
    if row.text("started_on"):
        return [*start, *bare], now
    return start, [*now, *bare]


def _known(row: SheetRow, known: Machine, serial: str) -> bool:
    """Tell what a row says otherwise of a machine that is there; nothing of it is changed."""
    if serial and known.serial and not same_serial(serial, known.serial):
        raise RowTrouble(
            f"{known.tag} is there already, with the serial number {known.serial}. Give this"
            " machine another tag, or correct the serial on the machine's page."
        )
    other = [
        name
        for name, value in (
            ("serial", known.serial), ("plate", known.plate), ("year", known.year or ""),
            ("yard", known.yard.name),
        )
        if row.text(name) and squeezed(row.text(name)) != squeezed(str(value))
    ]  # fmt: skip
    if other:
        row.doubt(f"{known.tag} is there already and stays as it is; differs: {', '.join(other)}.")
    return False
