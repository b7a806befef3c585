"""Parts, classes, make-ups with what they hold and what fits them, and their intervals."""

from typing import Any

from fleet.actions.fill_walk_rounds import fill_walk_round
from fleet.demo.scenario import Scenario
from fleet.models import (
    Covering,
    FittingPart,
    Fluid,
    Interval,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Part,
    Service,
)


def write_parts(scenario: Scenario) -> dict[str, Part]:
    """Parts and fluids of the shelf, by number."""
    Part.objects.bulk_create(
        Part(
            number=p["number"],
            name=p["name"],
            kind=p["kind"],
            cost=p["cost"],
            lead_days=p.get("lead_days"),
            container_ml=p["container_litres"] * 1000 if "container_litres" in p else None,
        )
        for p in scenario["parts"]
    )
    return {part.number: part for part in Part.objects.all()}


def interval(rule: dict[str, Any], services: dict[str, Service], **of: Any) -> Interval:
    """An interval of a make-up or of one machine from its JSON."""
    sides = {key: value for key, value in rule.items() if key != "service"}
    return Interval(service=services[rule["service"]], **of, **sides)


def _write_make_up(entry: dict[str, Any], of_class: MachineClass, parts: dict[str, Part]) -> MakeUp:
    make_up = MakeUp.objects.create(
        machine_class=of_class,
        maker=entry["maker"],
        model=entry["model"],
        first_year=entry["years"][0],
        last_year=entry["years"][1],
        manual=entry["manual"],
    )
    MakeUpMeter.objects.bulk_create(MakeUpMeter(makeup=make_up, **m) for m in entry["meters"])
    Fluid.objects.bulk_create(
        Fluid(
            makeup=make_up,
            place=f["place"],
            grade=f["grade"],
            capacity_ml=f["litres"] * 1000,
            part=parts[f["part"]],
        )
        for f in entry["fluids"]
    )
    FittingPart.objects.bulk_create(
        FittingPart(
            makeup=make_up,
            place=p["place"],
            part=parts[p["part"]],
            quantity=p["quantity"],
            instead=parts[p["instead"]] if "instead" in p else None,
        )
        for p in entry["parts"]
    )
    return make_up


def _coverings(
    makeup: MakeUp, codes: list[str], services: dict[str, Service], covers: dict[str, set[str]]
) -> list[Covering]:
    """Return which of a make-up's services count as done with which."""
    return [
        Covering(makeup=makeup, service=services[upper], covered=services[lower])
        for upper in codes
        for lower in codes
        if lower != upper and lower in covers[upper]
    ]


def write_make_ups(
    scenario: Scenario, services: dict[str, Service], parts: dict[str, Part]
) -> dict[str, MakeUp]:
    """Classes, make-ups and intervals; by model."""
    make_ups = {}
    intervals, coverings = [], []
    covers = scenario.covers()
    for entry in scenario["classes"]:
        of_class = MachineClass.objects.create(
            name=entry["name"], day_rate=entry["day_rate"], road_vehicle=entry["road_vehicle"]
        )
        fill_walk_round(of_class)
        for told in entry["make_ups"]:
            make_up = _write_make_up(told, of_class, parts)
            make_ups[told["model"]] = make_up
            rules = scenario["rules"][told["rules"]]
            intervals += [interval(rule, services, makeup=make_up) for rule in rules]
            coverings += _coverings(make_up, [rule["service"] for rule in rules], services, covers)
    Interval.objects.bulk_create(intervals)
    Covering.objects.bulk_create(coverings)
    return make_ups
