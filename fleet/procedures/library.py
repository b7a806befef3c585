"""The library of procedures by class of machine, as it stands in fixtures/procedures.

Pure: files in, values out.  Our own words, no maker's text; a limit stands in it only where its
published source stands beside it, every other is asked for from the machine's own manual.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from functools import cache, cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any

from fleet.procedures.following_jobs import FOLLOWING, job_after

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "procedures"
SHARED = ("common.json", "platforms.json")
"""Files of steps that several kinds share."""
FAULTS = "faults.json"
GROUPS = "step_groups.json"
"""Headings under which steps stand on a sheet."""
DRAWINGS = "drawings.json"
SAID_BEFORE = "said_before.json"
"""What steps said once, so that copies which still say it are read in every language."""
OCCASIONS = {
    "before-hire": "Before hire",
    "return": "Return",
    "basic": "Basic service",
    "yearly": "Yearly service",
    "into-storage": "Into storage",
    "out-of-storage": "Out of storage",
}
"""When a procedure is done, in the order of a machine's year."""
ON_OCCASION = {
    occasion: title for occasion, title in OCCASIONS.items() if occasion not in ("basic", "yearly")
}
"""Those that no interval brings about: somebody asks for them when the occasion is there."""


@dataclass(frozen=True)
class LibraryStep:
    """One step as the library says it; the fields are those of `ServiceStep`.

    caution: a code of cautions.json.  drawing: the name of a picture in drawings.json.
    """

    key: str
    kind: str
    text: str
    tool: str = ""
    only_on: str = ""
    caution: str = ""
    place: str = ""
    share: float = 1.0
    first_share: float | None = None
    measures: str = ""
    figure: str = ""
    turning_order: str = ""
    required: bool = False
    source: str = ""
    drawing: str = ""


def plain_step(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a step as a content has them: no drawing is not told.

    Copies that were taken before there were any would look changed else.
    """
    return {name: value for name, value in values.items() if name != "drawing" or value}


@dataclass(frozen=True)
class LibraryLimit:
    """What is measured; low and high stand only beside a published source.

    then: code of the job that follows once it is past its limit (`following_jobs`), by common
    practice.
    """

    name: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    possible_low: float | None = None
    possible_high: float | None = None
    places: str = ""
    safety: bool = False
    source: str = ""
    then: str = ""


def plain_limit(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a limit as a content has them: that nothing follows is not told."""
    return {name: value for name, value in values.items() if name != "then" or value}


@dataclass(frozen=True)
class LibraryProcedure:
    """A procedure of a class of machine on one occasion.

    cautions: codes.  needs: place in the make-up -> share of what it holds.  by_certificate: done
    by somebody who is qualified for it.
    """

    code: str
    name: str
    occasion: str
    minutes: int
    steps: tuple[LibraryStep, ...]
    limits: tuple[LibraryLimit, ...]
    cautions: tuple[str, ...] = ()
    needs: Mapping[str, float] = field(default_factory=dict)
    by_certificate: bool = False

    @cached_property
    def body(self) -> dict[str, Any]:
        """Its content as plain values, as a shop's copy of it is compared with it."""
        return {
            "name": self.name,
            "minutes": self.minutes,
            "cautions": sorted(self.cautions),
            "needs": dict(sorted(self.needs.items())),
            "steps": [plain_step(asdict(step)) for step in self.steps],
            "limits": [plain_limit(asdict(limit)) for limit in self.limits],
        }

    @cached_property
    def digest(self) -> str:
        """The same for the same content."""
        return digest_of(self.body)


@dataclass(frozen=True)
class LibraryKind:
    """A class of machine in the library.  words: those by which a class's name tells it."""

    kind: str
    title: str
    words: tuple[str, ...]
    procedures: tuple[LibraryProcedure, ...]

    def named_in(self, class_name: str) -> bool:
        """Whether a class of that name is of this kind."""
        return any(word.lower() in class_name.lower() for word in self.words)


def digest_of(body: Any) -> str:
    """Return the name of a content: two of one name are the same."""
    said = json.dumps(body, sort_keys=True, ensure_ascii=False)
    return sha256(said.encode()).hexdigest()[:40]


@cache
def library() -> tuple[LibraryKind, ...]:
    """Return all kinds, by title; read once."""
    told = [json.loads((FOLDER / name).read_text(encoding="utf-8")) for name in SHARED]
    steps = {one["key"]: LibraryStep(**one) for part in told for one in part["steps"]}
    limits = {one["name"]: LibraryLimit(**one) for part in told for one in part["limits"]}
    others = {FOLDER / name for name in (*SHARED, FAULTS, GROUPS, DRAWINGS, SAID_BEFORE, FOLLOWING)}
    files = sorted(set(FOLDER.glob("*.json")) - others)
    kinds = [_kind(json.loads(file.read_text(encoding="utf-8")), steps, limits) for file in files]
    return tuple(sorted(kinds, key=lambda one: one.title))


def _kind(
    told: dict[str, Any], shared: Mapping[str, LibraryStep], measured: Mapping[str, LibraryLimit]
) -> LibraryKind:
    steps = {**shared, **{one["key"]: LibraryStep(**one) for one in told["steps"]}}
    limits = {**measured, **{one["name"]: LibraryLimit(**one) for one in told["limits"]}}
    procedures = tuple(_procedure(one, steps, limits) for one in told["procedures"])
    return LibraryKind(told["kind"], told["title"], tuple(told["words"]), procedures)


def _procedure(
    told: dict[str, Any], steps: Mapping[str, LibraryStep], limits: Mapping[str, LibraryLimit]
) -> LibraryProcedure:
    chosen = tuple(steps[key] for key in told["steps"])
    measured = dict.fromkeys(step.measures for step in chosen if step.measures)
    return LibraryProcedure(
        code=told["code"],
        name=told["name"],
        occasion=told["occasion"],
        minutes=told["minutes"],
        steps=chosen,
        limits=tuple(replace(limits[name], then=job_after().get(name, "")) for name in measured),
        cautions=tuple(told["cautions"]),
        needs=needs_of_steps(chosen),
        by_certificate=told.get("by_certificate", False),
    )


def needs_of_steps(steps: Iterable[LibraryStep]) -> dict[str, float]:
    """Return place -> share of what it holds, of all that steps fill or fit anew."""
    needs: dict[str, float] = {}
    for step in steps:
        if step.place:
            needs[step.place] = max(step.share, needs.get(step.place, 0.0))
    return needs


def procedure_called(code: str) -> LibraryProcedure | None:
    """Return the library's procedure of a code, or None where it has none such any more."""
    found = (one for kind in library() for one in kind.procedures if one.code == code)
    return next(found, None)


@cache
def library_cautions() -> dict[str, dict[str, str]]:
    """Return code -> signal, text and source of the cautions that the library names."""
    told = json.loads((FOLDER.parent / "cautions.json").read_text(encoding="utf-8"))["cautions"]
    return {one["code"]: {k: one[k] for k in ("signal", "text", "source")} for one in told}


@cache
def caution_builds() -> dict[str, str]:
    """Return code -> the builds that have what a caution warns of; those of every build not."""
    told = json.loads((FOLDER.parent / "cautions.json").read_text(encoding="utf-8"))["cautions"]
    return {one["code"]: one["only_on"] for one in told if "only_on" in one}
