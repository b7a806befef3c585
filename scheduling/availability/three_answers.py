"""The three answers, and one reason as the interface gives it."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Answer(StrEnum):
    """What is said of a machine and days.

    MAY: it may go.  AFTER_WORK: it may once the shop has done what is planned, or is to be, before
    its first day; the booking depends on it.  MAY_NOT: it may not, or only against a reason.
    """

    MAY = "may"
    AFTER_WORK = "after_work"
    MAY_NOT = "may_not"


@dataclass(frozen=True)
class Reason:
    """One thing to know: its kind in a word, a sentence, and the last day on which it stands."""

    kind: str
    text: str
    until: date | None = None
