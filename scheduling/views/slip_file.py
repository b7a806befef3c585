"""The slip of a hand-over as a PDF (ISO 32000), on one sheet of Letter or A4, made by reportlab."""

import re
from collections.abc import Iterable
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing, Path
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from fleet.saying import counted
from scheduling.queries.slip import Signed, Slip

PLAIN = ParagraphStyle("plain", fontName="Helvetica", fontSize=9, leading=11)
STRONG = ParagraphStyle("strong", parent=PLAIN, fontName="Helvetica-Bold")
TITLE = ParagraphStyle("title", parent=STRONG, fontSize=15, leading=19)
HEAD = ParagraphStyle("head", parent=STRONG, fontSize=10, leading=13, spaceBefore=5, spaceAfter=2)
MANUAL_FIRST = "The machine’s own manual, local codes and licensed practice come first."
SHEET = (600, 200)
"""Units on which a signature is drawn: wide, high."""
SIGNED_WIDE = 75 * mm
MARGIN = 15 * mm
STROKE = re.compile(r"([ML])(\d+) (\d+)")


def slip_file(slip: Slip, *, letter: bool) -> bytes:
    """Return the file; letter: on US Letter, else on A4 (ISO 216)."""
    file = BytesIO()
    paper = LETTER if letter else A4
    document = SimpleDocTemplate(
        file, pagesize=paper, title=slip.title, leftMargin=MARGIN, rightMargin=MARGIN,
        topMargin=MARGIN, bottomMargin=MARGIN,
    )  # fmt: skip
    document.build(list(_story(slip, paper[0] - 2 * MARGIN)))
    return file.getvalue()


def _story(slip: Slip, wide: float) -> Iterable[Flowable]:
    yield Paragraph(escape(slip.title), TITLE)
    yield Spacer(0, 2 * mm)
    yield _pairs(slip.pairs, wide, first=0.25)
    if slip.points:
        yield Paragraph("Walk-round", HEAD)
        yield _pairs(slip.points, wide, first=0.75)
    if slip.goes_along:
        yield Paragraph("What goes with it", HEAD)
        yield _pairs(slip.goes_along, wide, first=0.75)
    if slip.note:
        yield Paragraph("Note", HEAD)
        yield Paragraph(escape(slip.note), PLAIN)
    if slip.charged:
        yield Paragraph("Charged", HEAD)
        yield _pairs(slip.charged, wide, first=0.75)
    if slip.photos:
        kept = f"{counted(len(slip.photos), 'photo')} kept with it"
        said = "; ".join(dict.fromkeys(one.says for one in slip.photos if one.says))
        yield Paragraph("Photos", HEAD)
        yield Paragraph(escape(f"{kept}: {said}" if said else kept), PLAIN)
    if slip.cautions:
        yield Paragraph("Before you use it", HEAD)
        for one in slip.cautions:
            yield Paragraph(f"<b>{escape(one.signal)}</b> {escape(one.text)}", PLAIN)
    yield Spacer(0, 2 * mm)
    yield Paragraph(MANUAL_FIRST, PLAIN)
    yield Spacer(0, 5 * mm)
    yield _signatures(slip, wide)


def _pairs(pairs: Iterable[tuple[str, str]], wide: float, *, first: float) -> Table:
    rows = [
        [Paragraph(escape(name), PLAIN), Paragraph(escape(said), STRONG)] for name, said in pairs
    ]
    table = Table(rows, colWidths=[wide * first, wide * (1 - first)])
    line = ("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.grey)
    tight = [("TOPPADDING", (0, 0), (-1, -1), 1.5), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5)]
    table.setStyle(TableStyle([line, ("VALIGN", (0, 0), (-1, -1), "TOP"), *tight]))
    return table


def _signatures(slip: Slip, wide: float) -> Table:
    drawn = [[_drawn(one) for one in slip.signed]]
    names = [[Paragraph(f"{escape(one.who)}: {escape(one.name)}", PLAIN) for one in slip.signed]]
    table = Table(drawn + names, colWidths=[wide / len(slip.signed)] * len(slip.signed))
    table.setStyle(TableStyle([("LINEABOVE", (0, 1), (-1, 1), 0.8, colors.black)]))
    return table


def _drawn(signed: Signed) -> Drawing:
    """Return what was drawn, or room to sign on paper; the units run downwards on screen."""
    scale = SIGNED_WIDE / SHEET[0]
    drawing = Drawing(SIGNED_WIDE, SHEET[1] * scale)
    path = Path(strokeColor=colors.black, strokeWidth=1.2, fillColor=None)
    for kind, across, down in STROKE.findall(signed.strokes):
        move = path.moveTo if kind == "M" else path.lineTo
        move(int(across) * scale, (SHEET[1] - int(down)) * scale)
    if signed.strokes:
        drawing.add(path)
    return drawing
