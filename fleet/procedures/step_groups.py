"""Steps under headings, so that a long procedure is read a few steps at a time.

Pure: the keys of steps in, spans of them out.  The order of the steps is the order in which they
are done, and stays: a heading may come twice.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from fleet.procedures.library import FOLDER, GROUPS

FEW = 3
"""A heading with fewer steps stands together with those beside it that have few as well."""


@dataclass(frozen=True)
class StepSpan:
    """Steps that stand together.  titles: of what they are about; start, end: which, end not in."""

    titles: tuple[str, ...]
    start: int
    end: int

    @property
    def count(self) -> int:
        """How many steps."""
        return self.end - self.start


@cache
def headings() -> dict[str, str]:
    """Return key of a step -> its heading, as fixtures/procedures say it."""
    told = json.loads((FOLDER / GROUPS).read_text(encoding="utf-8"))["groups"]
    return {key: group["title"] for group in told for key in group["steps"]}


def in_groups(keys: Iterable[str]) -> list[StepSpan]:
    """Return the groups of steps with these keys, in order.

    A step without a heading, as the shop's own, stays with the one before it.
    """
    joined: list[StepSpan] = []
    for number, span in enumerate(_runs(list(keys))):
        last = joined[-1] if number > 1 else None  # what comes before all work stands by itself
        if last and last.count < FEW and span.count < FEW:
            titles = tuple(dict.fromkeys((*last.titles, *span.titles)))
            joined[-1] = StepSpan(titles, last.start, span.end)
        else:
            joined.append(span)
    return joined


def _runs(keys: list[str]) -> list[StepSpan]:
    """Return the spans within which the heading stays the same."""
    if not keys:
        return []
    known = headings()
    here = next((known[key] for key in keys if key in known), "")
    titles = [here := known.get(key, here) for key in keys]
    starts = [0, *(at for at in range(1, len(keys)) if titles[at] != titles[at - 1])]
    return [StepSpan((titles[a],), a, b) for a, b in pairwise([*starts, len(keys)])]
