"""What a phone does without a signal: which pages it keeps, which presses wait on it.

Addresses are told as patterns: a * stands for one tag or number.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class PhoneAct:
    """A press that may wait.  name: of its address, of which args are the arguments.

    words: what it is called on the list of what waits.  to_bench: whether the bench is shown after
    it, as when it is sent at once; else the page on which it was pressed.
    """

    name: str
    words: str | Promise
    args: Sequence[str] = ("*",)
    to_bench: bool = False

    @property
    def at(self) -> str:
        """The pattern of its address."""
        return pattern_of(self.name, self.args)


ACTS = (
    PhoneAct("job", _("Finish the job"), to_bench=True),
    PhoneAct("leave-work", _("Leave it under way"), to_bench=True),
    PhoneAct("put-off", _("Put it off"), to_bench=True),
    PhoneAct("step-photos", _("Photos of a step")),
    PhoneAct("pull-missing", _("Not on the shelf"), (), to_bench=True),
    PhoneAct("meter-round-line", _("Meter reading"), ("0",)),
    PhoneAct("meter-round", _("Readings of a round"), ()),
    PhoneAct("scan", _("Meter reading"), ("0",)),
    PhoneAct("scan-wrong", _("Something is wrong"), ("0",)),
    PhoneAct("hold-machine", _("Hold the machine")),
)
PAGES = (
    ("bench", ()),
    ("job", ("*",)),
    ("bench-paper", ()),
    ("meter-round", ()),
    ("scan", ("0",)),
    ("procedure", ("0",)),
    ("faults", ("*",)),
    ("finding", ("0",)),
    ("hold-machine", ("*",)),
    ("machine", ("*",)),
)
"""Pages that are kept for the day once they were opened; nothing of customers is among them."""

TAKES_PHONE = {"bench", "job", "meter-round", "scan"}
"""Pages on which a phone is asked to keep pages and presses: those that are used far out."""
SCRIPTS = ("outbox", "sheet_entries", "badge")
"""Scripts that each page has, since what waits is told on each."""


def pattern_of(name: str, args: Sequence[str]) -> str:
    """Return the pattern of an address."""
    numbers = [0 if arg == "0" else arg for arg in args]
    return reverse(name, args=numbers).replace("/0/", "/*/")
