"""The scenario of the demo, as it stands in fixtures/demo_fleet.json and its companions."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@dataclass(frozen=True)
class Also:
    """A second meter that runs with the first: so much an hour, with its spread."""

    kind: str
    per_unit: float
    spread: float


@dataclass(frozen=True)
class UseSeason:
    """A part of the year with its own use a day."""

    name: str
    start: tuple[int, int]
    end: tuple[int, int]
    a_day: float


@dataclass(frozen=True)
class HirePattern:
    """How customers use a class: hire lengths, share of days on hire by month, use a day."""

    lengths: tuple[int, ...]
    chances: tuple[float, ...]
    busy: tuple[float, ...]
    kind: str
    a_day: float
    spread: float
    between_machines: float
    sunday: float
    also: tuple[Also, ...]


@dataclass(frozen=True)
class RanchPattern:
    """How a ranch uses a class: a base use, seasons of work, spells of standing idle."""

    kind: str
    base: float
    seasons: tuple[UseSeason, ...]
    idle_chance_a_month: float
    also: tuple[Also, ...]


@dataclass(frozen=True)
class Scenario:
    """All of the demo's invented facts.

    manuals: model -> build, figures and limits that its manual would tell.
    """

    facts: dict[str, Any]
    cautions: list[dict[str, Any]]
    procedures: dict[str, Any]
    manuals: dict[str, dict[str, Any]]

    def __getitem__(self, key: str) -> Any:
        """A top-level entry of demo_fleet.json."""
        return self.facts[key]

    def covers(self) -> dict[str, set[str]]:
        """Service code -> codes of the services that doing it satisfies, itself included."""
        direct = {s["code"]: set(s["covers"]) for s in self.procedures["services"]}
        closed = {code: {code} for code in direct}
        for code, reached in closed.items():
            ahead = [code]
            while ahead:
                new = direct[ahead.pop()] - reached
                reached.update(new)
                ahead.extend(new)
        return closed


def _also(entry: dict[str, list[float]]) -> tuple[Also, ...]:
    return tuple(Also(kind, per, spread) for kind, (per, spread) in entry.items())


def hire_pattern(entry: dict[str, Any]) -> HirePattern:
    """A hire pattern from its JSON."""
    return HirePattern(
        lengths=tuple(entry["lengths"]),
        chances=tuple(entry["chances"]),
        busy=tuple(entry["busy"]),
        kind=entry["kind"],
        a_day=entry["a_day"],
        spread=entry["spread"],
        between_machines=entry["between_machines"],
        sunday=entry["sunday"],
        also=_also(entry["also"]),
    )


def ranch_pattern(entry: dict[str, Any]) -> RanchPattern:
    """A ranch pattern from its JSON."""
    seasons = tuple(
        UseSeason(s["name"], tuple(s["from"]), tuple(s["to"]), s["a_day"]) for s in entry["seasons"]
    )
    return RanchPattern(
        kind=entry["kind"],
        base=entry["base"],
        seasons=seasons,
        idle_chance_a_month=entry["idle_chance_a_month"],
        also=_also(entry["also"]),
    )


def _read(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


@cache
def scenario() -> Scenario:
    """The scenario, read once."""
    return Scenario(
        facts=_read("demo_fleet.json"),
        cautions=_read("cautions.json")["cautions"],
        procedures=_read("procedures.json"),
        manuals=_read("demo_manuals.json")["make_ups"],
    )


def zone() -> ZoneInfo:
    """The time zone of the county; its day is the demo's today."""
    return ZoneInfo(scenario()["shop"]["time_zone"])
