"""Rows of intervals: of a make-up, of all make-ups of a class, or of one machine."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from fleet.bring_in.bring_coverings import Coverings
from fleet.bring_in.every_words import Recurs, by_law, recurs
from fleet.bring_in.import_run import ImportRun, go_through
from fleet.bring_in.make_missing import makeup_of, service_named
from fleet.bring_in.meter_values import in_store, kind_of_unit
from fleet.bring_in.one_shop import refuse_others_machine
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import said_once
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.models import Interval, Machine, MakeUp, MakeUpMeter, MeterKind, Service
from fleet.quantities import show_step
from fleet.saying import counted

Target = MakeUp | Machine
Owned = dict[tuple[bool, int, int], Interval]
"""Intervals by whether of a machine, and by make-up or machine and service (by `id()`)."""


@dataclass(frozen=True)
class Sides:
    """What a row says of an interval, in stored units."""

    kind: str = ""
    every: float | None = None
    months: int | None = None
    days: int | None = None
    first_at: float | None = None
    first_months: int | None = None
    first_days: int | None = None


def bring_intervals(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring in intervals; what a make-up or machine has already stays as it is."""
    owned, coverings = _owned(run), Coverings(run)
    go_through(sheet, run, lambda row, run: _interval(row, run, owned, coverings))


def _owned(run: ImportRun) -> Owned:
    services = {one.pk: one for one in run.site.services.exact.values() if one.pk}
    makeups = {one.pk: one for rows in run.site.makeups.exact.values() for one in rows if one.pk}
    machines = run.site.by_pk
    found: Owned = {}
    for row in Interval.objects.all():
        machine = row.machine_id is not None
        target: Target = machines[row.machine_id] if row.machine_id else makeups[row.makeup_id or 0]
        found[machine, id(target), id(services[row.service_id])] = row
    for new in run.pending[Interval]:
        assert isinstance(new, Interval)
        found[bool(new.machine), id(new.machine or new.makeup), id(new.service)] = new
    return found


def _interval(row: SheetRow, run: ImportRun, owned: Owned, coverings: Coverings) -> bool:
    name = row.text("service")
    if not name:
        raise RowTrouble("No service is named; write what is to be done.")
    units = run.units
    said = _said(row)
    targets = _targets(row, run)
    if isinstance(targets[0], Machine):
        units = targets[0].yard.units
    sides = _sides(row, said, units, _kinds(targets, run))
    service = service_named(name, run, row.whole("minutes", 1, 6000))
    added, other = coverings.bring(row, service, targets), ""
    for target in targets:
        place = (isinstance(target, Machine), id(target), id(service))
        new = _new(row, service, target, sides, units)
        if known := owned.get(place):
            other = other or _differs(known, new, target, units)
            continue
        owned[place] = run.make(new)
        _meter_too(target, sides.kind, run)
        added += 1
    if other and not added:
        raise RowTrouble(other)
    if other:
        row.doubt(other)
    for machine in run.site.machines.exact.values() if added else ():
        if machine in targets or any(machine.makeup is target for target in targets):
            run.concern(machine)
    return bool(added)


def _said(row: SheetRow) -> Recurs:
    """Gather how often from the columns: one for all, or one for each unit."""
    said = Recurs()
    try:
        if text := row.text("every"):
            said = recurs(text, row.unit("every"), row.sheet.marks.get("every"))
        for field, unit in (("every_hours", "h"), ("every_miles", ""), ("every_cycles", "cycles")):
            if (number := row.number(field)) and number[0]:
                own = row.unit(field) if row.unit(field) in ("mi", "km") else ""
                said = Recurs((number[0], number[1] or own or unit or "?"), said.months, said.days)
    except ValueError as error:
        raise RowTrouble(str(error)) from None
    months, days = row.whole("months", 0, 600), row.whole("days", 0, 20_000)
    return Recurs(said.meter, months or said.months, days or said.days)


def _targets(row: SheetRow, run: ImportRun) -> list[Target]:
    """Return what an interval is of: one machine, one make-up, or all make-ups of a class."""
    if tag := row.text("tag"):
        return [run.machine(tag)]
    if text := row.text("target"):
        return _any_target(text, run)
    if row.text("maker") or row.text("model") or row.text("makeup"):
        text = row.text("makeup")
        if text and not row.text("model") and (whole := _of_class(text, run)):
            return whole
        makeup = makeup_of(row, run)
        assert makeup is not None
        return [makeup]
    name = row.text("class")
    if not name:
        raise RowTrouble("Say of which make-up, class or machine the interval is.")
    if whole := _of_class(name, run):
        return whole
    raise RowTrouble(f"There is no make-up in a class “{name}”; bring its machines in first.")


def _of_class(name: str, run: ImportRun) -> list[Target]:
    own = said_once(run.site.classes, name, "class")
    if own is None:
        return []
    rows = (one for rows in run.site.makeups.exact.values() for one in rows)
    return [one for one in rows if one.machine_class is own or one.machine_class == own]


def _any_target(text: str, run: ImportRun) -> list[Target]:
    if machine := said_once(run.site.machines, text, "tag"):
        refuse_others_machine(machine, run.only)
        return [machine]
    for names in (run.site.makeups, run.site.models):
        if found := said_once(names, text, "make-up"):
            return list(found)
    if whole := _of_class(text, run):
        return whole
    raise RowTrouble(f"“{text}” is no machine, make-up or class here; bring the machines in first.")


def _kinds(targets: list[Target], run: ImportRun) -> set[str]:
    found: set[str] = set()
    for one in targets:
        found |= run.site.kinds[id(one.makeup if isinstance(one, Machine) else one)]
    return found


def _sides(row: SheetRow, said: Recurs, units: str, kinds: set[str]) -> Sides:
    if not (said.meter or said.months or said.days):
        raise RowTrouble("Say how often: on a meter, in months or in days.")
    if said.months and said.days:
        raise RowTrouble("Give months or days, not both.")
    kind, every = "", None
    if said.meter:
        value, word = said.meter
        if word == "?":
            word = "mi" if units == "us" else "km"
        found = kind_of_unit(word)
        if found is None and word:
            raise RowTrouble(f"“{word}” is not a unit; write h, mi, km, cycles, months or days.")
        kind = found or (MeterKind(next(iter(kinds))) if len(kinds) == 1 else MeterKind.HOURS)
        every = in_store(value, word, kind, units)
        if not every:
            raise RowTrouble("How often must be more than zero.")
    first = _first(row, kind, units)
    return Sides(kind, every, said.months, said.days, *first)


def _first(row: SheetRow, kind: str, units: str) -> tuple[float | None, int | None, int | None]:
    """Return a different first due point: on the meter, in months, in days."""
    text = row.text("first_at")
    if not text:
        return None, None, None
    try:
        said = recurs(text, row.unit("first_at"), row.sheet.marks.get("first_at"))
    except ValueError as error:
        raise RowTrouble(str(error)) from None
    if said.meter and not kind:
        raise RowTrouble(f"First at “{text}” is on a meter, and the interval is not.")
    at = in_store(said.meter[0], said.meter[1], kind, units) if said.meter else None
    return at, said.months, said.days


def _new(row: SheetRow, service: Service, target: Target, sides: Sides, units: str) -> Interval:
    machine = target if isinstance(target, Machine) else None
    new = Interval(
        service=service,
        makeup=None if isinstance(target, Machine) else target,
        machine=machine,
        meter_kind=sides.kind,
        every=sides.every,
        every_months=sides.months,
        every_days=sides.days,
        first_at=sides.first_at,
        first_months=sides.first_months,
        first_days=sides.first_days,
        hard=by_law(row.text("hard")),
        source=row.text("source")[:160],
    )
    for side in ("early", "late"):
        _allow(row, new, side, units)
    try:
        new.clean()
    except ValidationError as error:
        raise RowTrouble(" ".join(error.messages)) from None
    return new


def _allow(row: SheetRow, new: Interval, side: str, units: str) -> None:
    """Set how early or late it may be: "10 h", "10 %", "14 days", or a number on the meter."""
    number = row.number(side)
    if number is None:
        return
    value, word = number
    word = word or row.unit(side)
    if value < 0:
        raise RowTrouble(f"{side.capitalize()}: write it as a number above zero.")
    if word == "%":
        setattr(new, f"{side}_percent", value)
    elif word in ("day", "days", "d"):
        setattr(new, f"{side}_days", int(value))
    elif new.meter_kind:
        setattr(new, side, in_store(value, word, new.meter_kind, units))
    else:
        setattr(new, f"{side}_days", int(value))


def _meter_too(target: Target, kind: str, run: ImportRun) -> None:
    """Give a make-up the meter that its interval counts on, and its machines too."""
    if not kind or not run.make_missing or isinstance(target, Machine):
        return
    kinds = run.site.kinds[id(target)]
    if kind not in kinds:
        kinds.add(kind)
        run.make(MakeUpMeter(makeup=target, kind=kind))
    for machine in run.site.machines.exact.values():
        if machine.makeup is target and kind not in run.site.has_kinds(machine):
            run.fit(machine, kind)


def _differs(known: Interval, new: Interval, target: Target, units: str) -> str:
    same = all(
        getattr(known, field) == getattr(new, field)
        for field in ("meter_kind", "every", "every_months", "every_days")
    )
    if same:
        return ""
    return (
        f"{target} has an interval of {new.service} already, {_told(known, units)}; it stays so."
        " Change it under Set-up."
    )


def _told(interval: Interval, units: str) -> str:
    sides = []
    if interval.every:
        sides.append(f"every {show_step(interval.every, interval.meter_kind, units)}")
    if interval.every_months:
        sides.append(f"every {counted(interval.every_months, 'month')}")
    if interval.every_days:
        sides.append(f"every {counted(interval.every_days, 'day')}")
    return " or ".join(sides) or "by a season"
