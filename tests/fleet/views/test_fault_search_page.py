"""Fault finding from a symptom to a finding or a job with parts."""

import re

import pytest
from django.urls import reverse

from fleet.models import (
    Act,
    FaultOutcome,
    FaultSearch,
    Finding,
    FittingPart,
    FoundFault,
    Hold,
    Person,
    Role,
    ServiceNeed,
    Tongue,
)
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    machine = make.Machine()
    client.force_login(make.Mechanic(shop=machine.yard.shop))
    return machine


def begin(client, machine, symptom="clicks", key="k1"):
    page = reverse("faults", args=[machine.tag])
    return client.post(page, {"symptom": symptom, "form_key": key}, follow=True)


def answer(client, search, said):
    return client.post(reverse("fault", args=[search.pk]), {"answer": said}, follow=True)


def test_two_presses_lead_from_the_machine_to_the_first_check(client, case):
    book = client.get(case.get_absolute_url()).content.decode()
    address = reverse("faults", args=[case.tag])
    assert address in book  # the first press; the second is on the symptom
    assert "Clicks and does not crank" in client.get(address).content.decode()
    page = begin(client, case).content.decode()
    assert "Check 1: Battery: at rest" in page
    assert "common practice" in page


def test_each_answer_says_what_comes_of_it(client, case):
    page = begin(client, case).content.decode()
    assert "Then it is: battery flat or worn out" in page
    assert "Then: Voltage at the starter" in page


def test_an_outcome_leads_to_the_check_that_it_names(client, case):
    begin(client, case)
    search = FaultSearch.objects.get()
    page = answer(client, search, "battery-load:good").content.decode()
    assert "Check 2: Voltage at the starter" in page
    assert FaultOutcome.objects.get().showed == "Holds up"


def test_what_is_still_to_check_leaves_out_what_was_checked(client, case):
    first = begin(client, case).content.decode().partition("In this order")[2]
    assert "Battery: at rest" in first
    page = answer(client, FaultSearch.objects.get(), "battery-load:good").content.decode()
    left = page.partition("In this order")[2]
    assert "Battery: at rest" not in left
    assert "Voltage at the starter" in left


def test_what_was_found_becomes_a_finding_that_can_be_undone_as_one(client, case):
    begin(client, case)
    search = FaultSearch.objects.get()
    page = answer(client, search, "battery-load:low").content.decode()
    assert "That points to: battery flat or worn out" in page
    typed = {"cause": "battery-flat", "words": "Battery flat", "gravity": "defect", "minutes": "30"}
    for _ in range(2):
        client.post(reverse("fault-found", args=[search.pk]), typed)
    finding = Finding.objects.get()
    assert finding.text == "Clicks and does not crank: Battery flat"
    assert (finding.gravity, finding.minutes) == ("defect", 30)
    assert FoundFault.objects.get().finding == finding
    assert Act.objects.get(what=Act.What.FINDING).rows == {"finding": [finding.pk]}
    assert "It was: Battery flat" in client.get(reverse("fault", args=[search.pk])).content.decode()


def test_a_cause_left_as_it_stood_in_spanish_is_kept_as_the_library_says_it(client, case):
    Person.objects.update(language=Tongue.SPANISH)
    begin(client, case)
    search = FaultSearch.objects.get()
    page = answer(client, search, "battery-load:low").text
    shown = re.search(r'name="words" value="([^"]+)"', page)[1]
    assert shown == "Batería descargada o gastada"
    typed = {"cause": "battery-flat", "words": shown, "gravity": "defect", "minutes": "30"}
    client.post(reverse("fault-found", args=[search.pk]), typed)
    assert Finding.objects.get().text == "Clicks and does not crank: Battery flat or worn out"
    assert (
        "Hace clic y no gira: Batería descargada"
        in client.get(reverse("machine", args=[case.tag])).text
    )


def test_what_is_not_safe_holds_the_machine(client, case):
    begin(client, case, "fuel-leak")
    search = FaultSearch.objects.get()
    page = answer(client, search, "fl-where:hose").content.decode()
    assert re.search(r'value="unsafe"[^>]* checked', page)
    typed = {"cause": "fuel-hose", "words": "Hose wet", "gravity": "unsafe", "minutes": "30"}
    client.post(reverse("fault-found", args=[search.pk]), typed)
    assert Hold.objects.filter(machine=case, released_at=None).exists()


def test_a_cause_with_a_part_is_planned_as_the_job_that_takes_it(client, case):
    part = make.Part(number="BL-1", name="brake shoes")
    FittingPart.objects.create(makeup=case.makeup, place="brake linings", part=part, quantity=2)
    reline = make.Interval(makeup=case.makeup, service__name="Reline").service
    ServiceNeed.objects.create(service=reline, place="brake linings")
    begin(client, case, "brakes-uneven")
    search = FaultSearch.objects.get()
    page = answer(client, search, "be-linings:worn").content.decode()
    assert "2 × brake shoes BL-1" in page
    typed = {"cause": "linings-worn", "words": "Worn", "gravity": "defect", "minutes": "90",
             "calls_for": reline.pk}  # fmt: skip
    client.post(reverse("fault-found", args=[search.pk]), typed)
    assert Finding.objects.get().calls_for == reline


def test_the_order_learns_from_the_shops_own_outcomes_and_says_so(client, case):
    def found(machine, cause, n):
        search = FaultSearch.objects.create(
            machine=machine, symptom="clicks", words="Clicks", begun_at=NOON,
            begun_by=make.Person(), form_key=f"{cause}{n}{machine.pk}",
        )  # fmt: skip
        return FoundFault.objects.create(
            search=search, cause=cause, words=cause, at=NOON, by=search.begun_by
        )

    for n in range(30):
        found(case, "starter-relay", n)
    struck = found(case, "engine-seized", 0)
    struck.finding = make.Finding(machine=case, struck=True)
    struck.save()
    found(make.Machine(), "engine-seized", 1)  # of another shop
    page = begin(client, case).content.decode()
    assert "Check 1: Relay" in page
    assert "learned from 30 of your own cases" in page
    assert "it was this in 30 of your 30 cases" in page


def test_past_repairs_of_the_machine_and_of_its_model_stand_beside_it(client, case):
    other = make.Machine(makeup=case.makeup, yard=case.yard)
    stranger = make.Machine(yard=case.yard)
    for machine, note in ((case, "new relay"), (other, "new starter"), (stranger, "new horn")):
        make.ServiceRecord(machine=machine, service=None, note=note)
    page = begin(client, case).content.decode()
    assert "new relay" in page
    assert "new starter" in page
    assert "new horn" not in page


def test_an_answer_said_anew_stands_and_the_first_is_kept(client, case):
    begin(client, case)
    search = FaultSearch.objects.get()
    for said in ("battery-load:low", "battery-load:good", "battery-load:good"):
        answer(client, search, said)
    assert FaultOutcome.objects.count() == 2
    page = client.get(reverse("fault", args=[search.pk])).content.decode()
    assert "Check 2" in page
    assert "<strong>Low at rest</strong>" not in page


@pytest.mark.parametrize("said", ["", "battery-load:purple", "wings:good"])
def test_an_answer_that_is_none_is_refused(client, case, said):
    begin(client, case)
    page = answer(client, FaultSearch.objects.get(), said).content.decode()
    assert "none of this check" in page
    assert not FaultOutcome.objects.exists()


def test_a_form_sent_twice_begins_one_search(client, case):
    begin(client, case)
    begin(client, case)
    assert FaultSearch.objects.count() == 1


def test_an_unknown_symptom_begins_none(client, case):
    assert "Choose what you see or hear" in begin(client, case, "wobbles").content.decode()


def test_only_those_who_work_on_machines_of_the_shop_search(client, case):
    begin(client, case)
    search = FaultSearch.objects.get()
    client.force_login(make.Mechanic())  # of another shop
    assert client.get(reverse("fault", args=[search.pk])).status_code == 404
    assert client.get(reverse("faults", args=[case.tag])).status_code == 404
    client.force_login(make.Person(role=Role.DESK, shop=case.yard.shop))
    assert client.get(reverse("fault", args=[search.pk])).status_code == 403


def test_queries_do_not_grow_with_the_past(client, case, django_assert_max_num_queries):
    begin(client, case)
    search = FaultSearch.objects.get()
    page = reverse("fault", args=[search.pk])
    for n in (0, 8):
        for _ in range(n):
            other = make.Machine(makeup=case.makeup, yard=case.yard)
            make.ServiceRecord(machine=other, service=None, note="x")
            make.Finding(machine=case)
        with django_assert_max_num_queries(26):
            client.get(page)


def test_a_diesel_is_not_asked_for_its_spark(client, case):
    assert "No spark" in client.get(reverse("faults", args=[case.tag])).text
    case.makeup.traits = {"engine": "diesel"}
    case.makeup.save()
    assert "No spark" not in client.get(reverse("faults", args=[case.tag])).text


def test_an_answer_pressed_by_mistake_is_said_anew_and_the_search_goes_on_from_there(client, case):
    begin(client, case)
    search = FaultSearch.objects.get()
    page = answer(client, search, "terminals:loose")
    assert "That points to" in page.text
    assert 'value="terminals:good"' in page.text
    page = answer(client, search, "terminals:good")
    assert "That points to" not in page.text
    assert [one.outcome for one in FaultOutcome.objects.all()] == ["loose", "good"]
