"""What a row says that a meter showed: which kind, in which unit, in the stored unit."""

from fleet.bring_in.import_run import KIND_OF_FIELD
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.typed_sheets import SheetRow
from fleet.intake.resolving import kind_named
from fleet.models import MeterKind
from fleet.quantities import UNIT_WORDS, unit_size


def in_store(value: float, word: str, kind: str, units: str) -> float:
    """Return a meter's value in hours, metres or cycles; word: the unit beside it, or "".

    Raises:
        RowTrouble: the unit is not of this kind of meter, or the value is below zero.

    """
    if value < 0:
        raise RowTrouble(f"{value:g} is below zero; a meter never is.")
    known = UNIT_WORDS[MeterKind(kind)]
    if word and word not in known:
        raise RowTrouble(f"“{word}” is not a unit of the {MeterKind(kind).label.lower()}.")
    return value * (known[word] if word else unit_size(kind, units))


def kind_of_unit(word: str) -> MeterKind | None:
    """Return the kind of meter that has a unit."""
    return next((kind for kind, words in UNIT_WORDS.items() if word in words), None)


def shown_values(row: SheetRow, units: str, ends: str = "") -> list[tuple[MeterKind, float]]:
    """Return what each meter showed by the columns of their own: hours, odometer, cycles.

    ends: what follows in the fields' names ("_start", "_now").
    """
    found = []
    for name, kind in KIND_OF_FIELD.items():
        number = row.number(f"{name}{ends}")
        if number is not None:
            value, beside = number
            word = beside or _own_unit(row.unit(f"{name}{ends}"), kind)
            found.append((kind, in_store(value, word, kind, units)))
    return found


def _own_unit(word: str, kind: MeterKind) -> str:
    """Return a heading's unit if it is of this kind of meter: "start" and "month" are not."""
    return word if word in UNIT_WORDS[kind] else ""


def one_value(
    row: SheetRow, field: str, has: list[str], units: str
) -> tuple[MeterKind, float] | None:
    """Return kind and value of a column that may be of any meter; None for an empty field.

    has: the kinds of meter that the machine carries.

    Raises:
        RowTrouble: nothing tells which of them it is.

    """
    number = row.number(field)
    if number is None:
        return None
    value, beside = number
    word = beside or row.text("unit").lower().strip(".") or row.unit(field)
    kind = kind_of_unit(word) or (kind_named(word) if word else None)
    if kind is None and word:
        raise RowTrouble(f"“{word}” is not a unit of a meter; write h, mi, km or cycles.")
    if kind is None and len(has) > 1:
        raise RowTrouble("The machine has more than one meter; write the unit beside the value.")
    if kind is None:
        kind = MeterKind(has[0]) if has else MeterKind.HOURS
    known = word if word in UNIT_WORDS[kind] else ""
    return kind, in_store(value, known, kind, units)
