"""Parts to buy as rows of a file: what is ordered, what will lack, and the jobs that it is for."""

from collections.abc import Iterable, Sequence

from django.conf import settings

from fleet.models import OrderedFor, OrderLine, Part
from fleet.queries.stock_words import say_amount
from fleet.table_files import Cell, TableOfCells
from scheduling.queries.covered_parts import CoveredPart
from scheduling.queries.parts_to_order import PartsToOrder


def order_table(lines: Iterable[OrderLine], covered: Sequence[CoveredPart] = ()) -> TableOfCells:
    """A row a line of an order list, quantities in the shop's units.

    covered: what substitutes stand in for, of any part.
    """
    titles = (
        "part number", "part", "quantity", "need by", "order by", "state", "expected", "price each",
        "price", "for", "machine pages", "covered by",
    )  # fmt: skip
    rows: list[list[Cell]] = []
    for one in lines:
        much, jobs = say_amount(one.part, one.to_buy, one.shop), list(one.jobs.all())
        expected = one.delivery.expected_on if one.delivery else None
        row: list[Cell] = [
            one.part.number,
            one.part.name,
            much,
            one.needed_by,
            one.order_by,
            one.state,
            expected,
            round(float(one.part.cost), 2) if one.part.cost else None,
            round(one.price, 2) if one.part.cost else None,
        ]
        now = covered if one.state in ("to order", "ordered") else ()
        rows.append([*row, _said(jobs, one.for_work), _pages(jobs), _covers(now, one.part)])
    return TableOfCells("order list", titles, rows)


def parts_table(found: PartsToOrder) -> TableOfCells:
    """A row a part that will lack, the first to order first."""
    titles = (
        "part number", "part", "quantity", "need by", "order by", "price", "for", "machine pages",
        "covered by",
    )  # fmt: skip
    rows: list[list[Cell]] = [
        [
            row.part.number, row.part.name, row.much, row.need_by, row.order_by,
            round(row.price, 2), _said(row.jobs), _pages(row.jobs), _covers(row.covered, row.part),
        ]
        for row in found.rows
    ]  # fmt: skip
    return TableOfCells("parts to order", titles, rows)


def _covers(covered: Iterable[CoveredPart], part: Part) -> str:
    """Say what stands in for a part, and on which machines."""
    return "; ".join(str(one) for one in covered if one.named == part)


def _said(jobs: Sequence[OrderedFor], words: str = "") -> str:
    """Say each job by machine, service and day; words: what is said beside them."""
    return "; ".join([*([words] if words else []), *(str(job) for job in jobs)])


def _pages(jobs: Sequence[OrderedFor]) -> str:
    """Return the addresses of the machines that jobs are on, each once."""
    pages = dict.fromkeys(job.machine.get_absolute_url() for job in jobs)
    return " ".join(settings.BASE_URL + page for page in pages)
