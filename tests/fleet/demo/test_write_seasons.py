import pytest

from fleet.demo.scenario import scenario
from fleet.demo.write_seasons import write_seasons
from fleet.models import SeasonWeight
from tests import factories as make


@pytest.mark.django_db
def test_the_demos_owners_state_haying_and_winter():
    for entry in scenario()["classes"]:
        make.MachineClass(name=entry["name"])

    class Place:
        yards = {"ranch": make.Yard(name="Bell Hollow"), "rental": make.Yard(name="Corrow Forks")}

    write_seasons(scenario(), {0: Place})
    for season in SeasonWeight.objects.all():
        season.full_clean()
    haying = SeasonWeight.objects.get(reason="haying")
    assert (str(haying.yard), str(haying.machine_class), haying.weight) == (
        "Bell Hollow", "Tractor", 2.5,
    )  # fmt: skip
    winter = SeasonWeight.objects.get(reason="little building in winter")
    assert (winter.begins, winter.ends, winter.machine_class) == ("1 Dec", "29 Feb", None)
