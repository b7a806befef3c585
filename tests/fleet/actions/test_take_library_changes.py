"""What the library says anew is taken piece by piece, or left; never forced."""

import pytest

from fleet.actions import take_library_changes as changes
from fleet.actions.keep_steps import keep_step
from fleet.actions.take_procedures import take_procedures
from fleet.models import LibraryCopy, LoggedChange, Service, ServiceStep
from fleet.procedures.library import procedure_called
from fleet.queries.procedures_taken import copies_with_offers
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def copy():
    """A copy of an older edition: one step said otherwise, one not there, one more, 10 minutes."""
    boss = make.Person()
    (service,) = take_procedures([procedure_called("quad-basic")], by=boss, now=NOON)
    copy = LibraryCopy.objects.get()
    old = procedure_called("quad-basic").body
    steps = [dict(one) for one in old["steps"] if one["key"] != "choke"]
    steps[0]["caution"] = ""
    steps[1]["text"] = "Read the serial"
    steps.append({**steps[1], "key": "bell", "text": "Ring the bell", "required": False})
    copy.body, copy.digest = {**old, "minutes": 10, "steps": steps}, "older"
    copy.save()
    service.minutes = 10
    service.save()
    service.steps.filter(key="choke").delete()
    service.steps.filter(key="serial").update(text="Read the serial")
    ServiceStep.objects.create(
        service=service, position=99, key="bell", text="Ring the bell", kind="check",
        source=steps[1]["source"],
    )  # fmt: skip
    return copy


def keys(copy):
    return {one.key for one in changes.changes_offered(copy)}


def test_what_was_said_anew_is_offered_and_nothing_happens_by_itself(copy):
    assert copies_with_offers() == [copy]
    assert {"head:minutes", "step:serial", "step:choke", "step:bell"} <= keys(copy)
    copy.service.refresh_from_db()
    assert copy.service.minutes == 10


def test_what_is_ticked_is_taken_and_the_rest_is_not_offered_again(copy):
    taken = changes.take_changes(
        copy, {"step:choke", "step:bell", "head:minutes"}, by=make.Person(), now=NOON
    )
    assert len(taken) == 3
    service = LibraryCopy.objects.get().service
    assert service.minutes == procedure_called("quad-basic").minutes
    order = list(service.steps.order_by("position").values_list("key", flat=True))
    assert order == [step.key for step in procedure_called("quad-basic").steps]
    assert service.steps.get(key="serial").text == "Read the serial"
    assert copies_with_offers() == []
    log = LoggedChange.objects.get(act="brought up to the library")
    assert {"field": "Minutes", "old": "10", "new": "75"} in log.values


def test_a_shops_own_step_stays_where_it_stands(copy):
    service = copy.service
    step = ServiceStep(service=service, position=3, text="Ours", kind="do")
    keep_step(step, by=make.Person(), now=NOON)
    changes.take_changes(copy, keys(copy), by=make.Person(), now=NOON)
    order = list(service.steps.order_by("position").values_list("text", flat=True))
    assert order[2] == "Ours"


def test_a_step_that_the_shop_said_itself_is_shown_with_its_own_words(copy):
    copy.service.steps.filter(key="serial").update(text="Look at the frame")
    offered = {one.key: one for one in changes.changes_offered(copy)}
    assert offered["step:serial"].own.startswith("Look at the frame")


def test_what_is_left_is_not_offered_again(copy):
    changes.decline_changes(copy, by=make.Person(), now=NOON)
    assert keys(LibraryCopy.objects.get()) == set()
    assert LoggedChange.objects.filter(act="left as it is").exists()


def test_the_job_that_follows_is_offered_to_who_took_the_limit_before_there_was_one():
    (service,) = take_procedures([procedure_called("quad-yearly")], by=make.Person(), now=NOON)
    Service.objects.filter(code="brakes-reline").delete()  # its limits call for nothing then
    own = service.limits.create(name="front brake lining", makeup=make.MakeUp(), low=1.0)
    copy = LibraryCopy.objects.get()
    limits = [{k: v for k, v in one.items() if k != "then"} for one in copy.body["limits"]]
    copy.body, copy.digest = {**copy.body, "limits": limits}, "older"
    copy.save()
    (offer,) = [one for one in changes.changes_offered(copy) if "front brake" in one.key]
    assert "then “Brake linings renewed”" in offer.new
    changes.take_changes(copy, {offer.key}, by=make.Person(), now=NOON)
    own.refresh_from_db()
    assert own.then.code == "brakes-reline"
    assert service.limits.get(name="front brake lining", makeup=None).then == own.then
    assert service.limits.get(name="rear brake lining").then is None
