from collections import Counter

from fleet.demo.roster import MACHINES_A_SHOP, roster
from fleet.demo.scenario import scenario


def test_the_county_has_over_eighty_machines_in_nine_classes():
    units = roster(scenario())
    classes = Counter(unit.slot.machine_class["name"] for unit in units)
    assert len(units) == 98
    assert len(classes) == 9
    assert min(classes.values()) >= 6


def test_tags_are_never_given_twice():
    tags = [unit.tag for unit in roster(scenario(), 1200)]
    assert len(set(tags)) == len(tags)


def test_a_small_demo_holds_every_class():
    units = roster(scenario(), 20)
    assert len({unit.slot.machine_class["name"] for unit in units}) == 9


def test_a_larger_demo_begins_with_the_county():
    tags = [unit.tag for unit in roster(scenario())]
    assert [unit.tag for unit in roster(scenario(), 600)][: len(tags)] == tags


def test_a_larger_demo_has_more_shops():
    units = roster(scenario(), MACHINES_A_SHOP + 10)
    assert Counter(unit.shop for unit in units) == {0: MACHINES_A_SHOP, 1: 10}


def test_every_story_is_told_once_of_one_machine():
    told = Counter(s["story"] for unit in roster(scenario(), 600) for s in unit.stories)
    wanted = Counter()
    for story in scenario()["stories"]:
        wanted[story["story"]] += story.get("count", 1)
    assert told == wanted
    assert max(len(unit.stories) for unit in roster(scenario())) == 1
