"""Odd values of a form: refused, or asked about once and confirmed value by value.

A confirmation names the value that it is about, so that another value typed afterwards is asked
about again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.forms import Form

from fleet.possible_values import Oddity

ANSWERS = "really_so"
"""Name of the ticks that confirm odd values."""


@dataclass
class Doubts:
    """The oddities found in what was sent, and which of them the person has confirmed."""

    sent: Mapping[str, Any]
    asked: list[tuple[str, str]] = field(default_factory=list)
    confirmed: list[str] = field(default_factory=list)

    def weigh(self, form: Form, name: str, oddity: Oddity | None) -> None:
        """Put an oddity at its field unless it was confirmed; what cannot be never is."""
        if oddity is None:
            return
        mark = f"{name}: {oddity.short}"
        if oddity.impossible:
            form.add_error(name, oddity.sentence)
        elif mark in self._answers():
            self.confirmed.append(oddity.short)
            self.asked.append((mark, oddity.short))
        else:
            self.asked.append((mark, oddity.short))
            form.add_error(name, oddity.sentence)

    def _answers(self) -> list[str]:
        getlist = getattr(self.sent, "getlist", None)
        return list(getlist(ANSWERS)) if getlist else []

    @property
    def ticks(self) -> list[tuple[str, str, bool]]:
        """What each tick sends, what it says, and whether it is ticked."""
        answers = self._answers()
        return [(mark, short, mark in answers) for mark, short in self.asked]

    @property
    def note(self) -> str:
        """What was confirmed, for the record: "Really so: Brake lining 380 mm."."""
        return f"Really so: {'; '.join(self.confirmed)}." if self.confirmed else ""
