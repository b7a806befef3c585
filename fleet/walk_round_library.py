"""The library of walk-rounds by generic kind of machine, as it stands in the fixtures.

A class that is new gets the list of the kind that its name speaks of, and the shop makes it its
own; a class without any list is looked at by the general one.
"""

import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

LIBRARY = Path(__file__).resolve().parents[1] / "fixtures" / "walk_rounds.json"
GENERAL = "general"


@dataclass(frozen=True)
class PointToSee:
    """One point of a walk-round; safety: a machine on which it is not in order is held.

    source: the rule that asks for it, or "common practice".
    """

    key: str
    words: str
    safety: bool
    source: str = ""


@dataclass(frozen=True)
class UsualCaution:
    """What a customer is told with a kind of machine; signal: a signal word of ANSI Z535."""

    signal: str
    text: str
    source: str


@dataclass(frozen=True)
class MachineKind:
    """A generic kind of machine: the words by which a class's name tells it, and its points.

    runs_on: fuel, charge or none.  accessories: what usually goes out with it.
    """

    kind: str
    words: tuple[str, ...]
    points: tuple[PointToSee, ...]
    runs_on: str = "fuel"
    accessories: tuple[str, ...] = ()
    cautions: tuple[UsualCaution, ...] = ()

    def named_in(self, class_name: str) -> bool:
        """Whether a class of that name is of this kind."""
        return any(
            re.search(rf"(?<!\w){re.escape(word)}s?(?!\w)", class_name, re.I) for word in self.words
        )


@cache
def kinds() -> tuple[MachineKind, ...]:
    """Return the kinds, the general one first; read once."""
    told = json.loads(LIBRARY.read_text(encoding="utf-8"))
    points = {one["key"]: PointToSee(**one) for one in told["points"]}
    return tuple(_kind(one, points) for one in told["kinds"])


def _kind(told: dict[str, Any], points: dict[str, PointToSee]) -> MachineKind:
    return MachineKind(
        told["kind"],
        tuple(told["words"]),
        tuple(points[key] for key in told["points"]),
        told["runs_on"],
        tuple(told["accessories"]),
        tuple(UsualCaution(**one) for one in told["cautions"]),
    )


def kind_of_class(class_name: str) -> MachineKind:
    """Return the kind that a class's name speaks of, else the general one."""
    general, *others = kinds()
    return next((one for one in others if one.named_in(class_name)), general)


def general_points() -> tuple[PointToSee, ...]:
    """Return the points of a class for which nobody set up any."""
    return kinds()[0].points
