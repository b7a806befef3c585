"""Sheets of labels as a PDF (ISO 32000): tag, kind and a QR code (ISO/IEC 18004) of an address.

The code is made with the highest of the standard's four levels of error correction, which reads
with almost a third of it lost: a label on a machine is soon scratched and greasy.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

import segno
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from fleet.labels.label_papers import LabelPaper
from fleet.tongues.phrase_book import spoken

QUIET = 4
"""Light modules around a QR code (ISO/IEC 18004, 2015, 6.3.8)."""
PAD = 5.0
"""Points between a label's edge and what stands on it."""
STRONG, PLAIN = "Helvetica-Bold", "Helvetica"
LEAST_TAG, LARGEST_TAG, SMALL = 9.0, 30.0, 7.5
"""Sizes of type in points."""
LEADING = 1.25
ASKS = ("Scan: reading, what it needs,", "something is wrong")
"""What the code is for, on two lines."""


@dataclass(frozen=True)
class MachineLabel:
    """What stands on one label; address: what the code leads to."""

    tag: str
    kind: str
    yard: str
    address: str


def label_file(labels: Sequence[MachineLabel], paper: LabelPaper, first: int = 0) -> bytes:
    """Return sheets of labels; first: the place of the first one, on a sheet that was begun."""
    file = BytesIO()
    canvas = Canvas(file, pagesize=paper.page)
    canvas.setTitle("Machine labels")
    for number, label in enumerate(labels, first % paper.count):
        if number and number % paper.count == 0:
            canvas.showPage()
        _draw(canvas, label, paper, number % paper.count)
    canvas.showPage()
    canvas.save()
    return file.getvalue()


def _draw(canvas: Canvas, label: MachineLabel, paper: LabelPaper, place: int) -> None:
    left, low = paper.place(place)
    side = min(paper.size[1], paper.size[0] / 2) - 2 * PAD
    _draw_code(canvas, label.address, left + PAD, low + (paper.size[1] - side) / 2, side)
    text_left = left + PAD + side + PAD
    room = left + paper.size[0] - PAD - text_left
    top = low + paper.size[1] - PAD
    size = _fitting(label.tag, room)
    top -= size
    canvas.setFont(STRONG, size)
    canvas.drawString(text_left, top, label.tag)
    asks = [spoken(line) for line in ASKS]
    lines = [*_wrapped(label.kind, room)[:2], label.yard, *asks]
    canvas.setFont(PLAIN, SMALL)
    for line in lines:
        top -= SMALL * LEADING
        if top > low + PAD:
            canvas.drawString(text_left, top, _cut(line, room))


def _draw_code(canvas: Canvas, address: str, left: float, low: float, side: float) -> None:
    rows = [list(row) for row in segno.make_qr(address, error="h", boost_error=False).matrix]
    module = side / (len(rows) + 2 * QUIET)
    for down, row in enumerate(rows):
        y = low + side - (QUIET + down + 1) * module
        for across, dark in enumerate(row):
            if dark:
                canvas.rect(left + (QUIET + across) * module, y, module, module, stroke=0, fill=1)


def _fitting(text: str, room: float) -> float:
    """Return the size in which a tag fills its room, within bounds."""
    return min(LARGEST_TAG, max(LEAST_TAG, room / max(stringWidth(text, STRONG, 1.0), 0.1)))


def _wrapped(text: str, room: float) -> list[str]:
    lines, line = [], ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and stringWidth(longer, PLAIN, SMALL) > room:
            lines.append(line)
            longer = word
        line = longer
    return [*lines, line]


def _cut(text: str, room: float) -> str:
    while text and stringWidth(text, PLAIN, SMALL) > room:
        text = text[:-1]
    return text
