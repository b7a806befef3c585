"""How a mechanic's papers are set: the size of the type, the pages it takes, whose they are."""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepInFrame, PageBreak, Paragraph, SimpleDocTemplate
from reportlab.platypus.doctemplate import LayoutError

from fleet.tongues.phrase_book import spoken

MARGIN = 13 * mm
SIZES = (12.0, 11.0, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0)
"""Of type, in points: the first with which all fits is taken."""
INSET = 12.0
"""Points that a frame keeps free within its margins, both sides together."""


def in_tongue(words: object) -> str:
    """Return words in the language of who prints them, as the text of a paragraph."""
    return escape(spoken(words))


@dataclass(frozen=True)
class TypeSet:
    """The type of a page, how wide it is, and whether pictures and two columns stand on it."""

    size: float
    wide: float
    pictures: bool = False
    columns: bool = True

    def _style(self, name: str, **more: object) -> ParagraphStyle:
        usual = {"fontName": "Helvetica", "fontSize": self.size, "leading": self.size * 1.2}
        return ParagraphStyle(name, **{**usual, **more})

    def plain(self, text: str) -> Paragraph:
        """Set running text; it may hold marks of our own."""
        return Paragraph(text, self._style("plain"))

    def head(self, text: str) -> Paragraph:
        """Set a heading."""
        return Paragraph(
            in_tongue(text),
            self._style("head", fontName="Helvetica-Bold", spaceBefore=self.size * 0.5,
                        spaceAfter=self.size * 0.2),
        )  # fmt: skip

    def title(self, text: str) -> Paragraph:
        """Set the title of a page."""
        bold = {"fontName": "Helvetica-Bold", "fontSize": self.size * 1.6}
        return Paragraph(in_tongue(text), self._style("title", **bold, leading=self.size * 2))


class CardPaper(SimpleDocTemplate):
    """The pages; one that goes on with a card names its machine."""

    card = ""

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802
        """Remember whose card it is; a page that was asked for is nobody's yet."""
        if isinstance(flowable, PageBreak):
            self.card = ""
        self.card = getattr(flowable, "card", self.card)

    def name_card(self, canvas: Canvas, _: SimpleDocTemplate) -> None:
        """Write above a page whose card it goes on with."""
        canvas.setFont("Helvetica-Bold", SIZES[0])
        canvas.drawRightString(
            self.pagesize[0] - MARGIN, self.pagesize[1] - MARGIN * 0.8, self.card
        )

    def set(self, story: list[Flowable]) -> int:
        """Set it, and return how many pages it takes."""
        self.build(story, onLaterPages=self.name_card)
        return int(self.page)


def document(file: BytesIO, page: tuple[float, float], title: str) -> CardPaper:
    """Return papers with our margins, to be written into a file."""
    return CardPaper(
        file, pagesize=page, title=title, leftMargin=MARGIN, rightMargin=MARGIN,
        topMargin=MARGIN, bottomMargin=MARGIN,
    )  # fmt: skip


def fitting(
    story: Callable[[TypeSet], list[Flowable]], page: tuple[float, float], mosts: Sequence[int]
) -> tuple[list[Flowable], int]:
    """Return what is to be printed in the largest type with which it takes so many pages at most,
    and how many it takes; with its pictures where they take no more.

    mosts: first so many pages are tried, then so many; what fits none of them is shrunk.
    """
    wide, high = page[0] - 2 * MARGIN - INSET, page[1] - 2 * MARGIN - INSET

    def pages(kit: TypeSet) -> int:
        try:
            return document(BytesIO(), page, "").set(story(kit))
        except LayoutError:  # two columns that are higher than a page
            return max(mosts) + 1

    for most in mosts:
        kits = [TypeSet(size, wide, columns=most == mosts[0]) for size in SIZES]
        kit = _first_that_fits(kits, lambda one, most=most: pages(one) <= most)  # type: ignore[misc]
        if kit is not None:
            count, shown = pages(kit), replace(kit, pictures=True)
            return story(shown if pages(shown) <= count else kit), count
    whole = KeepInFrame(wide, high, story(TypeSet(SIZES[-1], wide)), mode="shrink")
    return [whole], 1


def _first_that_fits(kits: Sequence[TypeSet], fits: Callable[[TypeSet], bool]) -> TypeSet | None:
    """Return the largest type that fits, if any; most do with the first."""
    if fits(kits[0]):
        return kits[0]
    found = bisect_left(kits, True, lo=1, key=fits)
    return kits[found] if found < len(kits) else None
