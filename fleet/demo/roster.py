"""Who is who: the machines of the demo by number, each with its class, make-up, yard and story.

The first 98 are the county of the scenario.  A larger fleet repeats it: a new shop with its two
yards for every 490 machines, and three mechanics for every 98.
"""

from dataclasses import dataclass, field
from typing import Any

from fleet.demo.scenario import (
    HirePattern,
    RanchPattern,
    Scenario,
    hire_pattern,
    ranch_pattern,
)

MACHINES_A_SHOP = 490


@dataclass(frozen=True)
class Slot:
    """One place in the county: class, make-up and yard, as they stand in the scenario."""

    machine_class: dict[str, Any] = field(hash=False)
    make_up: dict[str, Any] = field(hash=False)
    yard: str
    pattern: HirePattern | RanchPattern

    @property
    def kinds(self) -> list[str]:
        """The kinds of meter that it carries."""
        return [meter["kind"] for meter in self.make_up["meters"]]

    @property
    def on_ranch(self) -> bool:
        """Whether it works on the ranch and is not hired out."""
        return isinstance(self.pattern, RanchPattern)


@dataclass(frozen=True)
class Unit:
    """One machine of the demo: its number, tag, shop and slot, and the story told about it."""

    index: int
    tag: str
    shop: int
    slot: Slot
    stories: tuple[dict[str, Any], ...] = ()

    def story(self, name: str) -> dict[str, Any] | None:
        """The story of that name, if it is told of this machine."""
        return next((s for s in self.stories if s["story"] == name), None)


def _slots_of(entry: dict[str, Any]) -> list[Slot]:
    hire, ranch = hire_pattern(entry["hire"]), ranch_pattern(entry["ranch"])
    return [
        Slot(entry, make_up, *(("ranch", ranch) if n < make_up["on_ranch"] else ("rental", hire)))
        for make_up in entry["make_ups"]
        for n in range(make_up["machines"])
    ]


def slots(scenario: Scenario) -> list[Slot]:
    """The county's slots, classes interleaved, so that any first N hold every class."""
    placed = []
    for entry in scenario["classes"]:
        of_class = _slots_of(entry)
        # Steps of seven: neighbours differ in make-up and yard.
        order = sorted(range(len(of_class)), key=lambda n: (n * 7) % 16)
        placed += [
            ((i + 0.5) / len(order), entry["name"], of_class[n]) for i, n in enumerate(order)
        ]
    placed.sort(key=lambda item: item[:2])
    return [slot for _, _, slot in placed]


def _fits(story: dict[str, Any], slot: Slot) -> bool:
    return (
        story["class"] == slot.machine_class["name"]
        and story.get("make_up", slot.make_up["model"]) == slot.make_up["model"]
        and story.get("yard", slot.yard) == slot.yard
    )


def _tell(scenario: Scenario, units: list[Unit]) -> list[Unit]:
    """Give each story of the scenario to the next machine of its class that has none."""
    told = list(units)
    for story in scenario["stories"]:
        left = story.get("count", 1)
        for n, unit in enumerate(told):
            if left and not unit.stories and _fits(story, unit.slot):
                told[n] = Unit(unit.index, unit.tag, unit.shop, unit.slot, (story,))
                left -= 1
    return told


def roster(scenario: Scenario, machines: int | None = None) -> tuple[Unit, ...]:
    """The first machines of the demo, or the county whole."""
    county = slots(scenario)
    numbers: dict[str, int] = {}
    units = []
    for index in range(machines or len(county)):
        slot = county[index % len(county)]
        prefix = slot.machine_class["prefix"]
        numbers[prefix] = numbers.get(prefix, 0) + 1
        tag = f"{prefix}-{numbers[prefix]:02d}"
        units.append(Unit(index, tag, index // MACHINES_A_SHOP, slot))
    first = _tell(scenario, units[: len(county)])
    return tuple(first + units[len(county) :])
