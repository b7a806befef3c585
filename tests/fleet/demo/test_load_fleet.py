"""What the demo fleet holds once it is loaded: a shop's eighteen months, warts and all."""

import itertools
from datetime import date, timedelta

import pytest
from django.db.models import Count, F, Max, Min, Q, Sum

from fleet.actions.take_readings import check_reading
from fleet.demo.load_fleet import NotEmptyError, Wanted, load
from fleet.identity import serial_warning
from fleet.models import (
    Absence,
    Alteration,
    Booking,
    ClosedDay,
    Delivery,
    DemoMark,
    Finding,
    FittingPart,
    HandOver,
    Hold,
    Interval,
    Limit,
    Machine,
    MachineClass,
    Meter,
    Part,
    Person,
    Reading,
    ReadingToMend,
    ServiceRecord,
    Source,
    Storage,
)
from fleet.queries.judge_readings import NewReading
from fleet.queries.standing_readings import standing
from tests.fleet.demo.conftest import TODAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def test_there_are_over_eighty_machines_in_nine_classes_and_two_yards():
    assert Machine.objects.count() == 98
    assert MachineClass.objects.filter(makeups__machines__isnull=False).distinct().count() == 9
    yards = Machine.objects.values_list("yard__name", flat=True).distinct()
    assert set(yards) == {"Corrow Forks Rental Yard", "Bell Hollow Ranch"}


def test_readings_reach_over_eighteen_months_up_to_yesterday():
    span = Reading.objects.aggregate(first=Min("read_at"), last=Max("read_at"))
    assert (TODAY - span["first"].date()).days in range(540, 552)
    assert span["last"].date() <= TODAY
    assert Reading.objects.filter(read_at__date__gte=TODAY - timedelta(days=2)).exists()


def test_readings_come_from_counter_bench_and_meter_round():
    sources = set(Reading.objects.values_list("source", flat=True).distinct())
    assert sources == {Source.COUNTER, Source.BENCH, Source.ROUND}


def test_nothing_has_happened_yet_today():
    # The desk opens the demo in the morning: what is for today is still to be done.
    noon = f"{TODAY}T12:00Z"
    for moments in (
        Reading.objects.values_list("read_at"),
        HandOver.objects.values_list("at"),
        ServiceRecord.objects.values_list("done_at"),
        Booking.objects.values_list("made_at"),
    ):
        assert max(moments)[0].isoformat() < noon


def test_standing_readings_of_a_meter_hardly_ever_run_backwards():
    values: dict[int, list[float]] = {}
    for meter, value in standing().order_by("read_at").values_list("meter", "value"):
        values.setdefault(meter, []).append(value)
    total = sum(map(len, values.values()))
    back = sum(b < a for one in values.values() for a, b in itertools.pairwise(one))
    assert total > 8_000
    assert back <= 5


def test_slips_wait_to_be_mended_each_with_its_sentence():
    waiting = ReadingToMend.objects.filter(mended_at=None)
    assert 3 <= len(waiting) <= 20
    assert all(row.sentence.startswith(row.machine_text) for row in waiting)


def test_older_slips_were_mended_by_the_right_reading():
    mended = ReadingToMend.objects.exclude(mended_at=None).select_related("mended_as")
    assert len(mended) >= 10
    assert all(row.mended_as and row.mended_by for row in mended)


def test_some_slips_got_in_and_were_corrected_later():
    corrected = Reading.objects.exclude(corrects=None).select_related("corrects")
    assert corrected
    assert all(
        c.value < c.corrects.value and c.entered_at > c.corrects.entered_at for c in corrected
    )


def test_a_meter_was_swapped_and_another_went_round():
    endings = dict(Meter.objects.exclude(ending="").values_list("ending", "machine__tag"))
    assert set(endings) == {Meter.Ending.SWAPPED, Meter.Ending.ROLLED_OVER}
    for tag in endings.values():
        old, new = Meter.objects.filter(machine__tag=tag, kind="hours").order_by("fitted_at")
        assert old.removed_at == new.fitted_at
        assert new.readings.exists()
        assert old.readings.exists()


def test_lifts_count_cycles_and_side_by_sides_miles_beside_hours():
    kinds = dict(
        Machine.objects.filter(makeup__machine_class__name__in=["Lift", "Side-by-side", "Trailer"])
        .values_list("makeup__machine_class__name")
        .annotate(kinds=Count("meters__kind", distinct=True))
    )
    assert kinds == {"Lift": 2, "Side-by-side": 2, "Trailer": 1}


def test_one_machine_is_held_and_not_out():
    hold = Hold.objects.get(released_at=None)
    assert hold.finding.gravity == Finding.Gravity.UNSAFE
    out = hold.machine.bookings.filter(first_day__lt=TODAY, last_day__gte=TODAY)
    assert not out.exists()


def test_one_machine_is_altered_so_that_its_oil_change_is_slow():
    alteration = Alteration.objects.get()
    assert alteration.slows.code == "engine-250"
    assert alteration.extra_minutes > 0
    assert alteration.machine.makeup.intervals.filter(service=alteration.slows).exists()


def test_one_machine_has_a_serial_that_cannot_be_read():
    machine = Machine.objects.get(serial_unreadable=True)
    assert machine.serial == ""
    assert Machine.objects.filter(serial="").count() == 1


def test_trailers_carry_vins_and_one_of_them_does_not_fit():
    trailers = Machine.objects.filter(makeup__machine_class__road_vehicle=True)
    warned = [t.tag for t in trailers if serial_warning(t.serial, road_vehicle=True, year=t.year)]
    assert len(warned) == 1


def test_one_machine_is_not_read_yet_and_one_has_no_papers():
    unread = Machine.objects.exclude(meters__readings__isnull=False).get()
    assert not unread.records.exists()
    assert Machine.objects.get(started_on=None).records.count() == 0


def test_some_machines_were_not_served_for_long():
    lately = Q(records__done_at__date__gte=TODAY - timedelta(days=120))
    left = Machine.objects.annotate(n=Count("records", filter=lately)).filter(n=0)
    assert 6 <= left.count() <= 14


def test_services_fall_due_by_an_interval_of_the_make_up():
    stray = ServiceRecord.objects.exclude(service__intervals__makeup=F("machine__makeup"))
    assert not stray.exists()


def test_bookings_never_overlap():
    spans = {}
    for machine, first, last in Booking.objects.order_by("machine", "first_day").values_list(
        "machine", "first_day", "last_day"
    ):
        assert spans.get(machine, date.min) < first
        spans[machine] = last


def test_past_bookings_went_out_and_came_back():
    past = Booking.objects.filter(last_day__lt=TODAY)
    both = past.annotate(n=Count("hand_overs")).filter(n=2)
    assert past.count() > 2_000
    assert both.count() == past.count()


def test_bookings_are_out_now_and_more_are_coming():
    out = Booking.objects.filter(first_day__lt=TODAY, last_day__gte=TODAY)
    coming = Booking.objects.filter(first_day__gte=TODAY)
    assert out.count() >= 15
    assert coming.count() >= 30
    assert not HandOver.objects.filter(booking__in=coming).exists()
    assert not HandOver.objects.filter(booking__in=out, direction="back").exists()


def test_findings_are_open_and_settled():
    assert 3 <= Finding.objects.filter(settled_at=None).count() <= 25
    assert Finding.objects.exclude(settled_at=None).count() > 50


def test_the_shelf_is_short_of_something_and_more_is_on_order():
    short = Part.objects.filter(movements__quantity=0) | Part.objects.filter(movements__quantity=1)
    assert short.exists()
    assert Delivery.objects.filter(received_at=None, expected_on__gt=TODAY).count() >= 4


def test_a_mechanic_will_be_away_and_the_shop_has_holidays():
    absence = Absence.objects.get()
    assert absence.first_day > TODAY
    assert ClosedDay.objects.filter(day=date(2026, 11, 26)).exists()


def test_a_machine_will_be_stored_and_is_not_booked_then():
    stored = Storage.objects.get()
    assert stored.first_day > TODAY
    clash = stored.machine.bookings.filter(
        last_day__gte=stored.first_day, first_day__lte=stored.last_day
    )
    assert not clash.exists()


def test_three_may_sign_in_and_nobody_is_superuser():
    with_password = [p for p in Person.objects.all() if p.has_usable_password()]
    assert {p.role for p in with_password} == {"manager", "desk", "mechanic"}
    assert len(with_password) == 3
    assert Person.objects.get(username="odile").check_password("tin-roof-rain")
    assert not Person.objects.filter(is_superuser=True).exists()


def test_intervals_are_valid_and_services_marked_as_invented():
    for interval in Interval.objects.select_related("service"):
        interval.clean()
        assert interval.service.invented


def test_a_measured_wear_runs_to_its_limit():
    machine = Machine.objects.get(tag="F-01")
    values = list(
        machine.records.filter(measurements__limit__name="chain stretch")
        .order_by("done_at")
        .values_list("measurements__value", flat=True)
    )
    assert values == sorted(values)


def test_the_mark_tells_which_demo_this_is():
    mark = DemoMark.objects.get()
    assert (mark.machines, mark.seed, mark.loaded_for, mark.lived_to) == (98, 7, TODAY, TODAY)


def test_it_does_not_load_upon_what_is_here():
    with pytest.raises(NotEmptyError, match="empty database"):
        load(Wanted(TODAY))
    assert Machine.objects.count() == 98


def test_an_open_slip_typed_again_is_refused_again():
    row = ReadingToMend.objects.filter(mended_at=None, meter_text="hours").first()
    machine = Machine.objects.select_related("yard").get(pk=row.machine_id)
    again = NewReading(
        machine=machine,
        kind=row.meter_text,
        value=float(row.value_text),
        read_at=row.entered_at - timedelta(minutes=3),
        source=row.source,
    )
    verdict = check_reading(again, row.entered_at)
    assert not verdict.fine
    assert verdict.reason == row.reason


def test_each_fluid_comes_in_a_container_of_known_size():
    fluids = Part.objects.filter(kind=Part.Kind.FLUID)
    assert fluids.exists()
    assert not fluids.filter(container_ml=None).exists()


def test_each_part_has_a_lead_time_and_what_was_ordered_comes_by_it():
    assert not Part.objects.filter(lead_days=None).exists()
    deliveries = Delivery.objects.select_related("part")
    assert deliveries.exists()
    for one in deliveries:
        assert (one.expected_on - one.ordered_on).days == one.part.lead_days


def test_a_worn_drive_belt_calls_for_a_new_one_at_whichever_service_it_is_measured():
    measured = Limit.objects.filter(name__in=("belt width", "drive belt width"))
    assert {one.service.code for one in measured} == {"drive-belt-1500", "side-by-side-full-300"}
    for one in measured:
        assert one.then is not None
        assert one.then.code == "drive-belt-renew"
        assert not one.safety  # so it is asked how soon


def test_a_part_that_does_in_anothers_place_lies_on_the_shelf():
    named = FittingPart.objects.exclude(instead=None)
    assert named.exists()
    for fit in named:
        assert fit.instead != fit.part
        assert fit.instead.movements.aggregate(there=Sum("quantity"))["there"] >= fit.quantity
