"""Two entries of one machine become one, with the facts of both; what contradicts is refused."""

from datetime import date, timedelta

import pytest

from fleet.actions.decide_work import put_off
from fleet.actions.merge_machines import GOES_OVER, merge_machines
from fleet.actions.rename_machines import rename_machine
from fleet.models import (
    Booking,
    FeedKey,
    Interval,
    LoggedChange,
    Machine,
    Meter,
    Progress,
    PutOff,
    Reading,
    RecordedMeter,
    WorkEstimate,
    WorkPhoto,
)
from fleet.queries.machine_called import machine_called, tag_of_today
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from fleet.work_keys import service_key
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db

MOVED_UNDER_ANOTHER_KEY = {PutOff, WorkEstimate, Progress}
JOINED = {Meter, Interval, Machine}
LIFTED = {"Pin"}
MOVED_WHERE_NONE_IS = {FeedKey, WorkPhoto}


def ago(days):
    return NOON - timedelta(days=days)


@pytest.fixture
def pair():
    shop = factories.Shop()
    keep = factories.Machine(tag="MX-02", serial="AB 12-3", yard__shop=shop)
    gone = factories.Machine(tag="MX02", serial="ab123", yard=keep.yard, makeup=keep.makeup)
    return keep, gone


def merged(keep, gone, **more):
    by = factories.Person()
    return merge_machines(keep, gone, reason="one plate", by=by, now=NOON, **more)


def read(meter, *values):
    """Readings by days ago."""
    for days, value in values:
        factories.Reading(meter=meter, read_at=ago(days), value=value)


def test_every_fact_of_a_machine_is_thought_of():
    facts = {
        row.related_model
        for row in Machine._meta.related_objects
        if row.related_model._meta.app_label == "fleet"
    }
    known = {*GOES_OVER, *MOVED_UNDER_ANOTHER_KEY, *JOINED, *MOVED_WHERE_NONE_IS}
    assert {model.__name__ for model in facts - known} == LIFTED


def test_the_facts_of_both_stand_on_the_one_that_stays(pair):
    keep, gone = pair
    facts = [
        factories.ServiceRecord(machine=gone), factories.Finding(machine=gone),
        factories.Hold(machine=gone), factories.Booking(machine=gone),
    ]  # fmt: skip
    merged(keep, gone)
    for fact in facts:
        fact.refresh_from_db()
        assert fact.machine == keep


def test_photos_of_steps_go_over_and_one_of_both_is_struck_on_the_one_that_goes(pair):
    keep, gone = pair
    service = factories.Service()
    for number, (machine, digest) in enumerate([(keep, "a"), (gone, "a"), (gone, "b")]):
        WorkPhoto.objects.create(
            machine=machine, service=service, step="all-round", words="All four sides.",
            name=f"{number}.jpg", wide=4, high=3, digest=digest, at=NOON,
        )  # fmt: skip
    merged(keep, gone)
    rows = WorkPhoto.objects.filter(machine=keep).order_by("name")
    assert [(one.digest, one.struck_why) for one in rows] == [
        ("a", ""), ("a", "the same photo stands on MX-02"), ("b", ""),
    ]  # fmt: skip


@pytest.mark.parametrize("has_its_own", [False, True])
def test_a_calendar_that_follows_the_other_goes_on_where_there_is_none_yet(pair, has_its_own):
    keep, gone = pair
    shop = keep.yard.shop
    followed = FeedKey.objects.create(shop=shop, machine=gone, made_at=NOON)
    if has_its_own:
        FeedKey.objects.create(shop=shop, machine=keep, made_at=NOON)
    merged(keep, gone)
    followed.refresh_from_db()
    assert followed.machine == (gone if has_its_own else keep)


def test_the_other_leads_to_it_by_each_of_its_tags(pair):
    keep, gone = pair
    rename_machine(gone, "OLD-9", reason="", by=factories.Person(), now=ago(3))
    merged(keep, gone)
    assert [tag_of_today(tag) for tag in ("MX02", "OLD-9")] == ["MX-02", "MX-02"]
    assert machine_called(Machine.objects.all(), "OLD-9") == keep
    gone.refresh_from_db()
    assert (gone.retired_on, gone.merged_into) == (TODAY, keep)


def test_twice_is_once_and_the_log_tells_on_the_one_that_stays(pair):
    keep, _gone = pair
    merged(*pair)
    merged(*pair)
    told = LoggedChange.objects.filter(machine=keep).order_by("pk")
    assert list(told.values_list("act", flat=True)) == ["merged into MX-02", "merged with MX02"]


def test_readings_of_one_meter_stand_in_one_row_of_time(pair):
    keep, gone = pair
    ours = factories.Meter(machine=keep, fitted_at=ago(100), first_value=100)
    theirs = factories.Meter(machine=gone, fitted_at=ago(200), first_value=10)
    read(ours, (90, 130), (30, 300))
    read(theirs, (150, 60), (60, 220), (10, 360))
    entry = factories.ServiceRecord(machine=gone, done_at=ago(60))
    RecordedMeter.objects.create(record=entry, meter=theirs, value=220)
    merged(keep, gone)
    values = standing().filter(meter=ours).order_by("read_at").values_list("value", flat=True)
    assert list(values) == [60, 130, 220, 300, 360]
    ours.refresh_from_db()
    assert (ours.fitted_at, ours.first_value) == (ago(200), 10)
    assert RecordedMeter.objects.get().meter == ours


def test_the_same_reading_entered_twice_is_one(pair):
    keep, gone = pair
    ours, theirs = factories.Meter(machine=keep), factories.Meter(machine=gone)
    read(ours, (10, 200))
    read(theirs, (10, 200), (5, 220))
    merged(keep, gone)
    assert Reading.objects.filter(meter=ours).count() == 2


@pytest.mark.parametrize(
    ("theirs", "why"),
    [
        ((20, 90.0), "less than before it"),
        ((20, 400.0), "more than after it"),
    ],
)
def test_readings_that_contradict_are_refused_and_nothing_moves(pair, theirs, why):
    keep, gone = pair
    ours, other = factories.Meter(machine=keep), factories.Meter(machine=gone)
    read(ours, (30, 200), (10, 300))
    read(other, theirs)
    with pytest.raises(Refusal, match="cannot have shown both: MX"):
        merged(keep, gone)
    assert Reading.objects.filter(meter=other).count() == 1, why
    gone.refresh_from_db()
    assert gone.merged_into is None


def test_readings_faster_than_the_clock_are_refused(pair):
    keep, gone = pair
    read(factories.Meter(machine=keep), (10, 200))
    read(factories.Meter(machine=gone), (9, 290))
    with pytest.raises(Refusal, match="two machines"):
        merged(keep, gone)


def test_a_swap_on_the_other_entry_asks_to_merge_the_other_way_round(pair):
    keep, gone = pair
    factories.Meter(machine=keep)
    first = factories.Meter(machine=gone, fitted_at=ago(300))
    Meter.objects.filter(pk=first.pk).update(removed_at=ago(50), last_value=400, ending="swapped")
    factories.Meter(machine=gone, fitted_at=ago(50))
    with pytest.raises(Refusal, match="other way round"):
        merged(keep, gone)
    merged(gone, keep)


def test_a_kind_of_meter_that_only_the_other_has_goes_over(pair):
    keep, gone = pair
    odometer = factories.Meter(machine=gone, kind="distance")
    merged(keep, gone)
    odometer.refresh_from_db()
    assert odometer.machine == keep


def test_life_before_the_meter_is_kept_and_two_words_on_it_are_refused(pair):
    keep, gone = pair
    ours = factories.Meter(machine=keep, fitted_at=ago(10), first_value=50)
    factories.Meter(machine=gone, fitted_at=ago(20), first_value=20, life_at_fitting=1020)
    merged(keep, gone)
    ours.refresh_from_db()
    assert (ours.first_value, ours.life_at_fitting) == (20, 1020)


def test_promises_of_both_for_one_day_are_refused(pair):
    keep, gone = pair
    factories.Booking(machine=keep)
    factories.Booking(machine=gone, first_day=date(2026, 3, 8), last_day=date(2026, 3, 9))
    with pytest.raises(Refusal, match="booked on some of the same days"):
        merged(keep, gone)
    assert Booking.objects.filter(machine=gone).exists()


def test_serials_that_differ_are_asked_about(pair):
    keep, gone = pair
    Machine.objects.filter(pk=gone.pk).update(serial="AB124")
    with pytest.raises(Refusal, match="Their serials differ") as refused:
        merged(keep, gone)
    assert refused.value.field == "sure"
    assert merged(keep, gone, sure=True).serial == "AB 12-3"


def test_named_work_is_called_by_the_machine_that_stays(pair):
    keep, gone = pair
    service, by = factories.Service(), factories.Person()
    key = service_key(gone.pk, service.pk)
    put_off(gone, key, TODAY, reason="no filter", by=by, now=NOON)
    factories.Progress(machine=gone, work_key=key)
    merged(keep, gone)
    wanted = service_key(keep.pk, service.pk)
    assert [row.work_key for row in (*PutOff.objects.all(), *Progress.objects.all())] == [
        wanted, wanted,
    ]  # fmt: skip


def test_its_own_interval_goes_over_unless_the_other_has_one(pair):
    keep, gone = pair
    oil, grease = factories.Service(), factories.Service()
    factories.Interval(service=oil, makeup=None, machine=keep, every=50)
    factories.Interval(service=oil, makeup=None, machine=gone, every=70)
    factories.Interval(service=grease, makeup=None, machine=gone)
    merged(keep, gone)
    assert set(Interval.objects.filter(machine=keep).values_list("service", "every")) == {
        (oil.pk, 50.0), (grease.pk, 100.0),
    }  # fmt: skip


@pytest.mark.parametrize("case", ["itself", "retired", "merged before"])
def test_what_cannot_be_merged_is_refused(pair, case):
    keep, gone = pair
    third = factories.Machine(tag="T", makeup=keep.makeup, yard=keep.yard, serial="")
    if case == "retired":
        Machine.objects.filter(pk=keep.pk).update(retired_on=TODAY)
    if case == "merged before":
        merged(third, gone)
    with pytest.raises(Refusal):
        merged(keep, keep if case == "itself" else gone)
