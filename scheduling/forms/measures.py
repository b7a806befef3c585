"""What is measured on a job sheet: one field for each limit, and for each place that it has."""

from collections.abc import Iterable
from dataclasses import dataclass

from django import forms
from django.utils.functional import lazy

from fleet.actions.record_work import outside
from fleet.limit_words import short_source
from fleet.measured_values import parse_measured
from fleet.models import Limit
from fleet.possible_values import Oddity, beyond_possible, odd_measurement
from fleet.saying import capital

HOLD, PLAN = "hold", "plan"
SOON = (
    (HOLD, "It must not work like that: hold it now"),
    (PLAN, "It may work until the plan finds a day for it"),
)
"""What may be answered to a value outside its limit; one for safety holds without a question."""


@dataclass(frozen=True)
class Measure:
    """One value that is asked for.  place: where, such as "front left"; "": it is measured once."""

    limit: Limit
    work_key: str
    position: int = 0
    place: str = ""
    required: bool = False

    @property
    def name(self) -> str:
        """Name of its field; the same as long as the limit and its places stay."""
        return f"limit_{self.limit.pk}" + (f"_{self.position}" if self.place else "")

    @property
    def soon(self) -> str:
        """Name of the answer to the question how soon it must be seen to."""
        return f"soon_{self.name}"

    @property
    def label(self) -> str:
        """What it is called: "Lining thickness, front left, mm"."""
        return capital(", ".join(filter(None, (self.limit.name, self.place, self.limit.unit))))

    def field(self, last: str = "") -> forms.CharField:
        """Return its field; last: what was measured before, in words."""
        least = min(self.limit.low or 0, self.limit.high or 0)
        keys = "text" if least < 0 else "decimal"  # keys for numbers have no minus on a phone
        said = "asked for by this inspection" if self.required else ""
        return forms.CharField(
            label=self.label,
            required=False,
            help_text=lazy(_joined, str)(self.say_bounds(), said, last),
            widget=forms.TextInput(attrs={"inputmode": keys, "autocomplete": "off"}),
        )

    @property
    def source(self) -> str:
        """Where its limits come from, in short; at the first of several places alone."""
        return "" if self.position else short_source(self.limit.source, known=self.limit.known)

    def say_bounds(self) -> str:
        """Say its limits: "at least 1.5 mm"."""
        return say_bounds(self.limit)

    def read(self, text: str) -> float:
        """Return the value in the limit's unit; ValueError with a sentence."""
        return parse_measured(text, self.limit.unit)

    def oddity(self, value: float) -> Oddity | None:
        """Judge a value by the limit."""
        name = f"{self.limit.name}, {self.place}" if self.place else self.limit.name
        limit = self.limit
        least, most = limit.possible_low, limit.possible_high
        return beyond_possible(value, name=name, least=least, most=most) or odd_measurement(
            value, name=name, unit=limit.unit, low=limit.low, high=limit.high
        )

    def beyond(self, value: float) -> str:
        """Return a sentence if the value lies outside the limit, else nothing."""
        return outside(self.limit, value)


def _joined(*said: str) -> str:
    return "; ".join(filter(None, map(str, said)))


def say_bounds(limit: Limit) -> str:
    """Say between which bounds a value must lie; "" where none is known."""
    bounds = [
        f"at least {limit.low:g}" if limit.low is not None else "",
        f"at most {limit.high:g}" if limit.high is not None else "",
    ]
    said = " and ".join(filter(None, bounds))
    return f"{said} {limit.unit}".strip() if said else ""


def measures_of(limits: Iterable[Limit], work_key: str, *, required: bool) -> list[Measure]:
    """Return what is asked for at one piece of work; required: of an inspection, all of it."""
    found = []
    for limit in limits:
        places = limit.each_place
        if not places:
            found.append(Measure(limit, work_key, required=required))
        found += [Measure(limit, work_key, n, place, required) for n, place in enumerate(places)]
    return found
