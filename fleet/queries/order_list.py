"""The order list of a shop, and the same as a file."""

import csv
import io
from collections.abc import Iterable

from django.db.models import QuerySet

from fleet.models import OrderLine, Part, Person, Shop
from fleet.queries.mine import shops_of
from fleet.queries.stock_words import say_amount
from fleet.table_files import TableOfCells

HEADINGS = ("part number", "part", "quantity", "need by", "order by", "state", "expected", "for")
FORMULA = ("=", "+", "-", "@", "\t")
"""Heads of a cell that a spreadsheet would take for a formula."""
SHOWN = 200
"""Lines that the page shows; the oldest that are done fall away."""


def order_lines(shop: Shop) -> list[OrderLine]:
    """Return the lines of a shop, those still to order first, by the day they are wanted."""
    rows = list(
        OrderLine.objects.filter(shop=shop)
        .select_related("part", "shop", "delivery", "asked_by")
        .order_by("-need_by")[:SHOWN]
    )
    places = ("to order", "ordered", "received", "dropped")
    return sorted(rows, key=lambda one: (places.index(one.state), one.order_by, one.pk))


def lines_open_to(person: Person) -> QuerySet[OrderLine]:
    """Return the lines that a person may change."""
    return OrderLine.objects.filter(shop__in=shops_of(person)).select_related("part", "shop")


def parts_to_miss() -> QuerySet[Part]:
    """Return all parts, one of which is not on the shelf."""
    return Part.objects.all()


def order_table(lines: Iterable[OrderLine]) -> TableOfCells:
    """Return lines as a table for a file, quantities in the shop's units."""
    rows = [
        [
            one.part.number, one.part.name, say_amount(one.part, one.quantity, one.shop),
            one.need_by, one.order_by, one.state,
            one.delivery.expected_on if one.delivery else None, one.for_work,
        ]
        for one in lines
    ]  # fmt: skip
    return TableOfCells("order list", HEADINGS, rows)


def as_csv(lines: Iterable[OrderLine]) -> str:
    """Return lines as CSV (RFC 4180), quantities in the shop's units."""
    out = io.StringIO()
    write = csv.writer(out)
    write.writerow(HEADINGS)
    for one in lines:
        expected = one.delivery.expected_on.isoformat() if one.delivery else ""
        row = [one.part.number, one.part.name, say_amount(one.part, one.quantity, one.shop)]
        row += [one.need_by.isoformat(), one.order_by.isoformat(), one.state, expected]
        row.append(one.for_work)
        write.writerow([f"'{cell}" if cell.startswith(FORMULA) else cell for cell in row])
    return out.getvalue()
