"""A mechanic's day as a PDF (ISO 32000): list and pull list, then each job's card on one page.

A card that is long is set smaller until its page holds it; what one page does not hold in the
smallest type that can still be read in a barn (our judgement) takes both sides of a sheet, or of
several, in the largest type with which it does.  What makes cards long is kept short: a
caution stands whole at the head of the card, and by its signal word and first sentence at each step
that it is about; many steps stand in two columns.  Pictures stand small beside their steps where
there is room for all of them: no card is set smaller for them, and its scan code leads to them.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import accumulate, groupby
from xml.sax.saxutils import escape

import segno
from reportlab.graphics.shapes import Drawing, Rect
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.platypus import (
    Flowable,
    PageBreak,
    Spacer,
    Table,
    TableStyle,
)

from fleet.models import Caution, ServiceStep
from fleet.procedures import FilledStep, ShownPicture
from fleet.saying import first_sentence
from fleet.tongues.phrase_book import spoken
from scheduling.queries.card_takes import CardTake
from scheduling.queries.day_paper import CardMeasure, CardWork, DayPaper, JobCard
from scheduling.views.card_pictures import card_picture
from scheduling.views.card_setting import INSET, TypeSet, document, fitting, in_tongue

LIST_PAGES = 2
"""Pages of the list with the pull list, at the most."""
SIDES = 2
SHEETS = (1, 2, 4)
"""Pages of a card that one page does not hold: of one sheet, or of more."""
MANY_STEPS = 24
"""From so many steps on they stand in two columns, on a card of one page."""
AS_LONG = 150
"""Letters of a narrow column that are as high as a picture (our judgement)."""
CODE_SIDE = 24 * mm
PICTURE_WIDE = 21 * mm
QUIET = 4
"""Light modules around a QR code (ISO/IEC 18004, 2015, 6.3.8)."""


def job_card_file(
    paper: DayPaper, address: Callable[[JobCard], str], *, letter: bool
) -> tuple[bytes, int]:
    """Return the file, and how many of its pages come before the first card.

    address: what the scan code of a card leads to.  letter: on US Letter, else on A4 (ISO 216).
    """
    page = LETTER if letter else A4
    before, pages = fitting(lambda kit: list(_list(paper, kit)), page, (LIST_PAGES,))
    story = before
    for card in paper.cards:
        code = _code(address(card))

        def of_card(kit: TypeSet, card: JobCard = card, code: Drawing = code) -> list[Flowable]:
            return list(_card(card, code, kit))

        fitted, _ = fitting(of_card, page, (1, *(SIDES * one for one in SHEETS)))
        story += [PageBreak(), *fitted]
    file = BytesIO()
    document(file, page, _title(paper)).set(story)
    return file.getvalue(), pages


def _title(paper: DayPaper) -> str:
    """Return whose day it is, and which, in the language of who prints it."""
    return f"{paper.whose} · {spoken(paper.day)}"


def _list(paper: DayPaper, kit: TypeSet) -> Iterable[Flowable]:
    yield kit.title(_title(paper))
    yield kit.plain(in_tongue(paper.sentence))
    if paper.cautions:
        yield kit.head("Before you start")
        yield from _cautions(paper.cautions, kit)
    if paper.lines:
        yield kit.head("The list")
        yield _ticked(paper.lines, kit, (0.2, 0.62, 0.18))
    if paper.helps:
        yield kit.head("To help with")
        yield from (kit.plain(in_tongue(one)) for one in paper.helps)
    yield kit.head("Pull list: fetch in one trip")
    if paper.pulls:
        yield _ticked(paper.pulls, kit, (0.5, 0.28, 0.22))
    else:
        yield kit.plain(in_tongue("Nothing from the shelf."))
    if paper.tools:
        yield kit.plain(f"<b>{in_tongue('Tools:')}</b> {', '.join(map(in_tongue, paper.tools))}.")
    if paper.unknown:
        yield kit.plain(
            f"<b>{in_tongue('No part set up for:')}</b> {'; '.join(map(in_tongue, paper.unknown))}."
        )


def _card(card: JobCard, code: Drawing, kit: TypeSet) -> Iterable[Flowable]:
    yield _card_head(card, code, kit)
    yield from (kit.plain(f"<b>{in_tongue(one)}</b>") for one in card.notes)
    yield from _cautions(card.cautions, kit)
    if card.takes:
        said = "; ".join(map(_take, card.takes))
        yield kit.plain(f"<b>{in_tongue('Takes:')}</b> {said}.")
    whole = frozenset(one.pk for one in card.cautions)
    for work in card.work:
        yield from _work(work, kit, whole)
    yield Spacer(0, kit.size * 0.6)
    yield _to_write([("Minutes of work", ""), ("Done by", ""), ("Seen", ""), ("", "")], kit)


def _take(one: CardTake) -> str:
    """Return a part with how much of it, and the substitute that the pull list gives."""
    instead = "".join(f" (<b>{in_tongue(words)}</b>)" for words in one.instead)
    return f"{in_tongue(one.name)} <b>{in_tongue(one.much)}</b>{instead}"


def _card_head(card: JobCard, code: Drawing, kit: TypeSet) -> Table:
    held = f" <b>{in_tongue('HELD: it may not go out.')}</b>" if card.held else ""
    beside = TypeSet(kit.size, kit.wide - CODE_SIDE - INSET)
    left = [
        kit.title(f"{card.number}. {card.tag}"),
        kit.plain(
            f"{in_tongue(card.kind)}, {escape(card.where)}. {in_tongue(card.minutes)}.{held}"
        ),
        _to_write([(f"{label}, {said}", "now") for label, said in card.meters], beside),
    ]
    table = Table([[left, code]], colWidths=[kit.wide - CODE_SIDE, CODE_SIDE])
    table.setStyle(
        TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0)])
    )
    table.card = f"{card.number}. {card.tag}"
    return table


def _work(work: CardWork, kit: TypeSet, whole: frozenset[int]) -> Iterable[Flowable]:
    yield kit.head(f"{work.title}, {work.minutes}")
    yield from (kit.plain(f"<b>{in_tongue(one)}</b>") for one in work.notes)
    if work.text:
        yield kit.plain(in_tongue(work.text))
    if work.steps:
        said = [
            _Line(f"{n}. {_step(step, whole)}", step.picture if kit.pictures else None)
            for n, step in enumerate(work.steps, 1)
        ]
        two = kit.columns and len(said) >= MANY_STEPS
        yield _in_two(said, kit) if two else _to_tick(said, kit)
    if work.measures:
        yield _measures(work.measures, kit)


@dataclass(frozen=True)
class _Line:
    """What is ticked, and the picture that stands beside it."""

    text: str
    picture: ShownPicture | None = None


def _to_tick(said: Sequence[_Line], kit: TypeSet) -> Table:
    """Set what is ticked below each other."""
    side, wide = kit.size * 1.8, kit.wide - kit.size * 1.8
    rows = [[_box(kit), _beside(one, kit, wide)] for one in said]
    return _tight(Table(rows, colWidths=[side, wide]))


def _beside(line: _Line, kit: TypeSet, wide: float) -> Flowable:
    """Set a text with its picture on the right of it, if it has one."""
    picture = card_picture(line.picture, PICTURE_WIDE) if line.picture else None
    if picture is None:
        return kit.plain(line.text)
    table = Table(
        [[kit.plain(line.text), picture]], colWidths=[wide - PICTURE_WIDE - INSET, PICTURE_WIDE]
    )
    table.setStyle(
        TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), *(
            (f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")
        )])
    )  # fmt: skip
    return table


def _in_two(said: Sequence[_Line], kit: TypeSet) -> Table:
    """Set the same in two columns, the first half on the left, both about as long."""
    sums = list(accumulate(len(one.text) + AS_LONG * (one.picture is not None) for one in said))
    half = bisect_left(sums, sums[-1] / 2) + 1
    narrow = replace(kit, wide=kit.wide / 2)
    table = Table(
        [[_to_tick(said[:half], narrow), _to_tick(said[half:], narrow)]],
        colWidths=[kit.wide / 2] * 2,
    )
    return _tight(
        table, ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)
    )


def _step(step: FilledStep, whole: frozenset[int]) -> str:
    """Return a step's text with what belongs to it: figure, tool, the caution that bites there.

    whole: cautions that stand whole at the head of the card.
    """
    if step.caution is None:
        return _step_alone(step)
    caution = _caution(step.caution, short=step.caution.pk in whole)
    alone = step.kind == ServiceStep.Kind.CAUTION
    return caution if alone else f"{caution} {_step_alone(step)}"


def _step_alone(step: FilledStep) -> str:
    text = in_tongue(step.text)
    if step.figure:
        text += f" <b>{in_tongue(step.figure)}</b>"
    if step.tool:
        text += f" ({in_tongue(step.tool)})"
    return text


def _caution(one: Caution, *, short: bool = False) -> str:
    text = in_tongue(one.text)
    if short:
        text = first_sentence(text)
    return f"<b>{in_tongue(one.get_signal_display())}</b> {text}"


def _cautions(cautions: Sequence[Caution], kit: TypeSet) -> Iterable[Flowable]:
    """Set cautions whole, each with its signal word, in a frame."""
    if cautions:
        rows = [[kit.plain(_caution(one))] for one in cautions]
        frame = Table(rows, colWidths=[kit.wide])
        yield _tight(frame, ("BOX", (0, 0), (-1, -1), 0.8, colors.black))


def _measures(measures: Sequence[CardMeasure], kit: TypeSet) -> Table:
    rows = [
        [
            kit.plain(in_tongue(one.what)),
            kit.plain("<br/>".join(filter(None, (in_tongue(one.bounds), in_tongue(one.source))))),
            kit.plain(in_tongue(one.last)),
            "",
        ]
        for one in measures
    ]
    table = Table(rows, colWidths=[kit.wide * share for share in (0.3, 0.2, 0.28, 0.22)])
    return _tight(table, ("LINEBELOW", (3, 0), (3, -1), 0.6, colors.black))


def _to_write(lines: Sequence[tuple[str, str]], kit: TypeSet) -> Flowable:
    """Return lines to write on, each with what is asked for."""
    if not lines:
        return Spacer(0, 0)
    rows = [[kit.plain(in_tongue(what)), kit.plain(in_tongue(more)), ""] for what, more in lines]
    high = kit.size * 2
    table = Table(rows, colWidths=[kit.wide * share for share in (0.4, 0.1, 0.5)])
    return _tight(
        table, ("LINEBELOW", (2, 0), (2, -1), 0.6, colors.black),
        ("TOPPADDING", (0, 0), (-1, -1), high - kit.size * 1.2),
        ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
    )  # fmt: skip


def _ticked(rows: Sequence[Sequence[str]], kit: TypeSet, shares: Sequence[float]) -> Table:
    """Return rows with a box to tick before each."""
    side = kit.size * 1.8
    cells = [[_box(kit), *(kit.plain(in_tongue(word)) for word in row)] for row in rows]
    table = Table(cells, colWidths=[side, *((kit.wide - side) * share for share in shares)])
    return _tight(table, ("LINEBELOW", (0, 0), (-1, -1), 0.3, colors.grey))


def _tight(table: Table, *more: tuple[object, ...]) -> Table:
    close = [("TOPPADDING", (0, 0), (-1, -1), 1.2), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2)]
    table.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), *close, *more]))
    table.spaceBefore = table.spaceAfter = 3
    return table


def _box(kit: TypeSet) -> Drawing:
    """Return a box to tick."""
    side = kit.size
    drawing = Drawing(side, side)
    drawing.add(Rect(0.4, 0.4, side - 0.8, side - 0.8, strokeWidth=0.8, fillColor=None,
                     strokeColor=colors.black))  # fmt: skip
    return drawing


def _code(address: str) -> Drawing:
    """Return the QR code (ISO/IEC 18004) of an address."""
    rows = [list(row) for row in segno.make_qr(address, error="m").matrix]
    module = CODE_SIDE * 0.9 / (len(rows) + 2 * QUIET)
    side = module * (len(rows) + 2 * QUIET)
    drawing = Drawing(side, side)
    for down, row in enumerate(rows):
        low = side - (QUIET + down + 1) * module
        for dark, run in groupby(enumerate(row), key=lambda one: one[1]):
            places = [across for across, _ in run]
            if dark:  # one bar for modules side by side: a tenth of the drawing
                left, wide = (QUIET + places[0]) * module, len(places) * module
                drawing.add(
                    Rect(left, low, wide, module, strokeWidth=0, strokeColor=None,
                         fillColor=colors.black)
                )  # fmt: skip
    return drawing
