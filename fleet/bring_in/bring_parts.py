"""Rows of parts and fluids, and what lies on the shelf."""

from collections.abc import Callable
from decimal import Decimal

from django.db.models import Sum

from fleet.bring_in.headings import plain
from fleet.bring_in.import_run import ImportRun, go_through
from fleet.bring_in.make_missing import shop_of
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import said_once
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.models import Part, Shop, StockMovement
from fleet.quantities import FLUID_OUNCE, GALLON, QUART

VOLUMES = {
    "l": 1000.0, "ltr": 1000.0, "lt": 1000.0, "litre": 1000.0, "litres": 1000.0, "liter": 1000.0,
    "liters": 1000.0, "litros": 1000.0, "ml": 1.0, "millilitre": 1.0, "millilitres": 1.0,
    "qt": QUART, "qts": QUART, "quart": QUART, "quarts": QUART, "gal": GALLON, "gals": GALLON,
    "gallon": GALLON, "gallons": GALLON, "galones": GALLON, "fl oz": FLUID_OUNCE,
}  # fmt: skip
"""Units of volume -> millilitres."""
PIECES = {"", "pc", "pcs", "piece", "pieces", "ea", "each", "unit", "units", "pieza", "piezas",
          "stk", "stuck", "stueck", "st", "no", "pza", "pzas", "unite", "unites"}  # fmt: skip
LITRE = 1000.0

Shelf = dict[tuple[int, int], float]
"""What is on hand by part and shop (by `id()`), where anything was ever booked."""


def bring_parts(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring parts in, and what is on hand as a count."""
    shelf: Shelf = {}
    parts = {one.pk: one for one in run.site.parts.exact.values() if one.pk}
    shops = {one.pk: one for one in run.site.shops.exact.values() if one.pk}
    booked = StockMovement.objects.values("part_id", "shop_id").annotate(sum=Sum("quantity"))
    for row in booked.order_by():
        shelf[id(parts[row["part_id"]]), id(shops[row["shop_id"]])] = row["sum"]
    go_through(sheet, run, lambda row, run: _part(row, run, shelf))


def _part(row: SheetRow, run: ImportRun, shelf: Shelf) -> bool:
    number = (row.text("number") or row.text("name"))[:40]
    name = row.text("name") or number
    size = _size(row)
    cost = row.amount("cost", 0, 10**6)
    on_hand = row.amount("on_hand", 0, 10**7)
    if not number:
        raise RowTrouble("No part number is given.")
    known = said_once(run.site.parts, number, "part number")
    shop = shop_of(row, run) if on_hand is not None else None
    part = known or _new(row, number, name, size, cost, run)
    if known and not _same_kind(known, size):
        raise RowTrouble(
            f"{known.number} is counted by {'volume' if known.kind == Part.Kind.FLUID else 'piece'}"
            " here; correct the unit."
        )
    counted = shop is not None and _count(
        part, shop, (on_hand or 0.0) * (size or 1.0), shelf, run, row.doubt
    )
    return known is None or counted


def _size(row: SheetRow) -> float | None:
    """Return the millilitres of a row's unit, or None for pieces."""
    text = plain(row.text("unit")) or row.unit("on_hand")
    if text in VOLUMES:
        return VOLUMES[text]
    if text in PIECES or text == "pcs":
        return None
    raise RowTrouble(f"“{row.text('unit')}” is no unit of parts; write pieces, L, qt or gal.")


def _new(
    row: SheetRow, number: str, name: str, size: float | None, cost: float | None, run: ImportRun
) -> Part:
    """Make a part; a fluid's cost is of one litre."""
    each = (cost or 0.0) * (LITRE / size if size else 1.0)
    part = Part(
        number=number,
        name=name[:80],
        kind=Part.Kind.FLUID if size else Part.Kind.PIECE,
        cost=Decimal(f"{each:.2f}"),
    )
    run.site.parts.add(number, part)
    return run.make(part)


def _same_kind(part: Part, size: float | None) -> bool:
    return (part.kind == Part.Kind.FLUID) == (size is not None)


def _count(
    part: Part,
    shop: Shop,
    quantity: float,
    shelf: Shelf,
    run: ImportRun,
    doubt: Callable[[str], None],
) -> bool:
    """Write a first count; a shelf that has been booked before is counted by people."""
    place = (id(part), id(shop))
    if place in shelf:
        if abs(shelf[place] - quantity) > 0.5:
            doubt(f"{part.number}: the shelf says otherwise by now; count it there. Left as it is.")
        return False
    shelf[place] = quantity
    run.make(
        StockMovement(
            part=part, shop=shop, quantity=quantity, reason=StockMovement.Reason.COUNT,
            at=run.now, by=run.by,
        )
    )  # fmt: skip
    return True
