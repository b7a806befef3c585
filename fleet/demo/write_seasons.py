"""The seasons that the demo's owners state: haying, calving, slack winters."""

from fleet.demo.scenario import Scenario
from fleet.demo.write_places import DemoShop
from fleet.models import MachineClass, SeasonWeight


def write_seasons(told: Scenario, places: dict[int, DemoShop]) -> None:
    """Write the stated seasons of every shop's yards."""
    classes = {kind.name: kind for kind in MachineClass.objects.all()}
    SeasonWeight.objects.bulk_create(
        SeasonWeight(
            reason=entry["reason"],
            weight=entry["weight"],
            first_month=entry["from"][0],
            first_day=entry["from"][1],
            last_month=entry["to"][0],
            last_day=entry["to"][1],
            yard=place.yards[entry["yard"]],
            machine_class=classes[name] if name else None,
        )
        for place in places.values()
        for entry in told["seasons"]
        for name in entry.get("classes", [None])
    )
