"""The acts before a dump fill the tables that came since the first release."""

from django.apps import apps
from django.utils import timezone

from tests.made_fleet import make_fleet
from tests.releases.acting_people import ActingPeople
from tests.releases.later_acts import use_what_came_since

OF_FACTS = """
    Act ClassLine ClientKey FaultOutcome FaultSearch FeedKey FormerTag FoundFault HandKey HandKeyUse
    HandOverCharge Import ImportFile ImportRefusal KeptAnswer LoggedChange MakeUpFigure OrderLine
    OrderedFor Press SheetEntry StepAnswer Substitute ToComplete Waiting
"""
FILLED = [f"fleet.{name}" for name in OF_FACTS.split()]
FILLED += ["scheduling.LetterChoice", "scheduling.LetterHours"]


def counts():
    return {name: apps.get_model(name)._default_manager.count() for name in FILLED}


def test_each_table_gets_a_row(db):
    now = timezone.now()
    made = make_fleet(now)
    named = made.people
    people = ActingPeople(made.shop, named["manager"], named["desk"], named["mechanic"], now)
    before = counts()
    use_what_came_since(people)
    after = counts()
    assert [name for name in FILLED if not after[name]] == []
    stood = [name for name in FILLED if after[name] == before[name]]
    assert len(stood) <= 3, stood  # of which the fleet has one already, and a second is none
