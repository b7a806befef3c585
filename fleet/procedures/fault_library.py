"""The library of faults, from fixtures/procedures/faults.json.  Pure: a file in, values out."""

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from fleet.makeup_traits import fits
from fleet.procedures.library import FAULTS, FOLDER


@dataclass(frozen=True)
class FaultCause:
    """What a symptom may come from.

    place: of the part that mends it, as the make-up names it.  minutes: a guess at the work.
    unsafe: a machine that has it may not go out.
    """

    key: str
    words: str
    place: str = ""
    minutes: int = 60
    unsafe: bool = False


@dataclass(frozen=True)
class CheckOutcome:
    """What a check may show: the cause that it found, or the check that follows, or neither."""

    key: str
    words: str
    found: str = ""
    next: str = ""


@dataclass(frozen=True)
class FaultCheck:
    """One check.  finds: the cause that it is after.

    weight: how often the symptom is that cause, in parts.  minutes: what the check costs.
    saves: minutes of further searching that finding it here saves.  untestable: comes last.
    """

    key: str
    text: str
    finds: str
    weight: float
    minutes: float
    outcomes: tuple[CheckOutcome, ...]
    saves: float = 60
    untestable: bool = False
    tool: str = ""
    only_on: str = ""

    @property
    def can_find(self) -> frozenset[str]:
        """All causes that it can come upon: the one that it is after, and those of its outcomes."""
        return frozenset({self.finds, *(one.found for one in self.outcomes if one.found)})

    def outcome(self, key: str) -> CheckOutcome | None:
        """Return the outcome of a key."""
        return next((one for one in self.outcomes if one.key == key), None)


@dataclass(frozen=True)
class Symptom:
    """What somebody sees or hears.  caution: a code of cautions.json.

    only_on: the builds that can show it, as of a step; empty: every build.  not_of: kinds of the
    library that cannot, whatever their make-up says.
    """

    key: str
    words: str
    caution: str
    checks: tuple[FaultCheck, ...]
    only_on: str = ""
    not_of: tuple[str, ...] = ()

    def check(self, key: str) -> FaultCheck | None:
        """Return the check of a key."""
        return next((one for one in self.checks if one.key == key), None)


@cache
def symptoms() -> tuple[Symptom, ...]:
    """Return the symptoms in the order of the library; read once."""
    return tuple(_symptom(one) for one in _told()["symptoms"])


def symptoms_on(traits: Mapping[str, str], kinds: Collection[str] = ()) -> list[Symptom]:
    """Return the symptoms that a build can show; traits: trait -> build.

    kinds: those of the library that the machine is of; none where nobody knows.
    """
    return [
        one
        for one in symptoms()
        if fits(one.only_on, traits) is not False and not set(kinds) & set(one.not_of)
    ]


@cache
def causes() -> Mapping[str, FaultCause]:
    """Return key -> cause."""
    return {key: FaultCause(key, **one) for key, one in _told()["causes"].items()}


def symptom_called(key: str) -> Symptom | None:
    """Return the symptom of a key."""
    return next((one for one in symptoms() if one.key == key), None)


def _told() -> Any:
    return json.loads((FOLDER / FAULTS).read_text(encoding="utf-8"))


def _symptom(told: dict[str, Any]) -> Symptom:
    checks = tuple(
        FaultCheck(**{**one, "outcomes": tuple(CheckOutcome(**each) for each in one["outcomes"])})
        for one in told["checks"]
    )
    return Symptom(
        told["key"], told["words"], told["caution"], checks, told.get("only_on", ""),
        tuple(told.get("not_of", ())),
    )  # fmt: skip
