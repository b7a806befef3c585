"""Sheets of labels: how many stand on one, how large, where the first begins.

The sizes are those that stationers sell everywhere (common practice); a first sheet is printed on
plain paper and held against the labels.
"""

from dataclasses import dataclass

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import inch, mm


@dataclass(frozen=True)
class LabelPaper:
    """A sheet of labels; lengths in points (1/72 inch), from the upper left corner.

    across, down: labels in a row and in a column.  step: from one label's corner to the next one's.
    """

    name: str
    page: tuple[float, float]
    across: int
    down: int
    size: tuple[float, float]
    corner: tuple[float, float]
    step: tuple[float, float]

    @property
    def count(self) -> int:
        """Labels on one sheet."""
        return self.across * self.down

    def place(self, number: int) -> tuple[float, float]:
        """Return the lower left corner of the label of a number, from 0, row by row."""
        row, column = divmod(number, self.across)
        x = self.corner[0] + column * self.step[0]
        y = self.page[1] - self.corner[1] - row * self.step[1] - self.size[1]
        return x, y


def _grid(name: str, page: tuple[float, float], grid: tuple[int, int],
          size: tuple[float, float], gap: float = 0.0) -> LabelPaper:  # fmt: skip
    """Lay labels of a size out in the middle of a page."""
    across, down = grid
    wide = across * size[0] + (across - 1) * gap
    corner = ((page[0] - wide) / 2, (page[1] - down * size[1]) / 2)
    return LabelPaper(name, page, across, down, size, corner, (size[0] + gap, size[1]))


PAPERS = {
    "letter-10": _grid("US Letter, 10 of 4 by 2 in", LETTER, (2, 5), (4 * inch, 2 * inch),
                       gap=0.1875 * inch),
    "letter-6": _grid("US Letter, 6 of 4 by 3⅓ in", LETTER, (2, 3), (4 * inch, 10 * inch / 3),
                      gap=0.1875 * inch),
    "a4-24": _grid("A4, 24 of 70 by 37 mm", A4, (3, 8), (70 * mm, 37 * mm)),
    "a4-8": _grid("A4, 8 of 105 by 74 mm", A4, (2, 4), (105 * mm, 74 * mm)),
}  # fmt: skip
"""Sheets by the name in an address."""
