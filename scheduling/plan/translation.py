"""The planner's sentences in a person's words: dates for day numbers, names for keys."""

import re
from collections.abc import Mapping
from datetime import date

from fleet.saying import short_date
from scheduling.plan.horizon import ANY_SKILL, Horizon

DAYS = re.compile(r"\b(?P<word>[Dd]ays?|limit_day) (?P<first>-?\d+)(?: to (?P<last>-?\d+))?\b")
BOOKED = re.compile(r"booked (-?\d+) to (-?\d+) \(\d+\)")
MONEY = re.compile(r"(?<![\d.])(?P<sign>[+-]?)(?P<sum>\d+\.\d\d)(?!\d|\.\d| h\b| of\b)")
"""Sums of money have two places in the planner's sentences; hours that have are followed by "h"."""
PART_KEY = re.compile(r" #\d+\b")


class Translator:
    """Puts dates and names into sentences about one plan.

    names: key of a task, or user name of a mechanic -> what people call it.  currency: the sign
    that money gets.
    """

    def __init__(
        self, horizon: Horizon, here: str, names: Mapping[str, str], currency: str = ""
    ) -> None:
        self.horizon, self.here, self.names, self.currency = horizon, here, names, currency
        longest_first = sorted(names, key=lambda name: (-len(name), name))
        words = "|".join(re.escape(name) for name in longest_first) or r"(?!)"
        self.pattern = re.compile(rf"(?<![\w@:-])(?:{words})(?![\w@-])")

    def say(self, text: str) -> str:
        """Return a sentence in words."""
        text = MONEY.sub(lambda match: f"{match['sign']}{self.currency}{match['sum']}", text)
        text = BOOKED.sub(self._booked, text)
        text = DAYS.sub(self._days, text)
        text = self.pattern.sub(lambda match: self.names[match[0]], text)
        text = text.replace(f"yard {self.here}", "the shop")
        text = text.replace(f" who holds the skill {ANY_SKILL}", "")
        return PART_KEY.sub("", text.replace(f" (skill {ANY_SKILL})", ""))

    def _date(self, number: str) -> str:
        day: date = self.horizon.date(int(number))
        return short_date(day, self.horizon.first)

    def _booked(self, match: re.Match[str]) -> str:
        return f"booked out {self._date(match[1])} to {self._date(match[2])}"

    def _days(self, match: re.Match[str]) -> str:
        limit = "its limit " if match["word"] == "limit_day" else ""
        last = f" to {self._date(match['last'])}" if match["last"] else ""
        return f"{limit}{self._date(match['first'])}{last}"
