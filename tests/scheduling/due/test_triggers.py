"""What makes services due beside their intervals, and which blocks follow: through the database."""

from datetime import date, timedelta

import pytest

from fleet.models import Limit, Measurement
from scheduling.due.refresh import refresh
from scheduling.models import Block, MachineState
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago, point, serviced, steady
from tests.scheduling.said import said

pytestmark = pytest.mark.django_db
Kind = Block.Kind


@pytest.fixture
def machine():
    found = make.Machine()
    steady(found)
    return found


def test_finding_makes_its_service_due_until_it_is_done_or_settled(machine):
    brakes = make.Service(name="Brakes renewed", blocks_rental=False)
    finding = make.Finding(machine=machine, calls_for=brakes, text="squeals", seen_at=ago(2))
    refresh(None, NOW)
    due = point()
    assert (due.state, due.driver, due.p50, due.interval) == ("due", "finding", TODAY, None)
    assert due.why == "Found: squeals"
    done = serviced(machine, brakes, 1)
    assert refresh(None, NOW).deleted == 1
    done.delete()
    finding.settled_at = NOW
    finding.save()
    refresh(None, NOW)
    assert not machine.due_points.exists()


def test_service_earlier_on_the_day_of_the_finding_does_not_answer_it(machine):
    brakes = make.Service(name="Brakes renewed")
    make.Finding(machine=machine, calls_for=brakes, seen_at=NOW - timedelta(hours=1))
    make.ServiceRecord(machine=machine, service=brakes, done_at=NOW - timedelta(hours=3))
    refresh(None, NOW)
    assert point().state == "due"


def measured(machine, limit, days_ago, value, place=""):
    record = serviced(machine, limit.service, days_ago)
    Measurement.objects.create(record=record, limit=limit, value=value, place=place)


@pytest.fixture
def lining():
    check, renew = make.Service(name="Brakes measured"), make.Service(name="Linings renewed")
    return Limit.objects.create(service=check, name="lining", unit="mm", low=2.0, then=renew)


def test_wear_trend_gives_the_life_at_which_it_meets_its_limit(machine, lining):
    """6 mm at 140 h and 5 mm at 220 h: 1 mm in 80 h, so 2 mm at 220 + 3 x 80 = 460 h."""
    measured(machine, lining, 50, 6.0)
    measured(machine, lining, 30, 5.0)
    refresh(None, NOW)
    due = point()
    assert due.service == lining.then
    assert due.due_life == pytest.approx(460)
    assert due.driver == "trend"
    assert due.why.startswith("Measured: lining 5 mm, limit 2 mm")


def test_each_place_has_its_own_trend_and_the_worst_decides(machine, lining):
    """Left 6 mm at 140 h, 5 mm at 220 h: 2 mm at 460 h.  Right loses a tenth of that."""
    for place, values in {"left": (6.0, 5.0), "right": (6.0, 5.9)}.items():
        for days_ago, value in zip((50, 30), values, strict=True):
            measured(machine, lining, days_ago, value, place)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(460)
    assert point().why.startswith("Measured: lining, left 5 mm, limit 2 mm")


def test_any_place_past_its_limit_is_enough_whichever_was_measured_last(machine, lining):
    measured(machine, lining, 30, 1.9, "left")
    measured(machine, lining, 30, 5.0, "right")
    refresh(None, NOW)
    assert (point().state, point().driver) == ("due", "trend")
    assert point().why.startswith("Measured: lining, left 1.9 mm")


def test_what_another_service_measured_is_of_the_same_trend(machine, lining):
    """The basic service measured 6 mm, the yearly one 5 mm, against a stricter limit of 3 mm."""
    yearly = Limit.objects.create(
        service=make.Service(name="Yearly"), name="Lining", unit="mm", low=3.0, then=lining.then
    )
    measured(machine, lining, 50, 6.0)
    measured(machine, yearly, 30, 5.0)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(220 + 2 * 80)  # 1 mm in 80 h


def test_value_past_its_limit_is_due_at_once_until_renewed(machine, lining):
    measured(machine, lining, 30, 1.9)
    refresh(None, NOW)
    assert (point().state, point().driver) == ("due", "trend")
    serviced(machine, lining.then, 20)  # new linings: what was measured before is past
    refresh(None, NOW)
    assert not machine.due_points.exists()


@pytest.fixture
def lift_check():
    return make.Service(name="Frequent inspection", blocks_rental=True)


def idle_machine(service, **interval):
    machine = make.Machine(started_on=date(2025, 1, 1))
    meter = make.Meter(machine=machine, fitted_at=ago(400))
    for back, value in [(150, 10.0), (140, 30.0), (1, 30.0)]:  # not used for 140 days
        make.Reading(meter=meter, read_at=ago(back), value=value)
    fields = {"meter_kind": "", "every": None, "idle_months": 3, "every_months": 12}
    make.Interval(service=service, makeup=machine.makeup, **{**fields, **interval})
    serviced(machine, service, 200)
    return machine


def test_machine_that_stood_too_long_is_due_before_it_goes_back_to_work(lift_check):
    machine = idle_machine(lift_check, hard=True)
    refresh(None, NOW)
    assert point().driver == "idle"
    block = Block.objects.get(machine=machine)
    assert (block.kind, block.hard, block.last_day) == (Kind.IDLE, True, None)
    serviced(machine, lift_check, 3)
    refresh(None, NOW)
    assert point().state == "clear"
    assert not Block.objects.filter(kind=Kind.IDLE).exists()


def test_machine_out_on_a_booking_is_not_idle(lift_check):
    machine = idle_machine(lift_check)
    make.Booking(machine=machine, first_day=TODAY - timedelta(days=9), last_day=TODAY)
    refresh(None, NOW)
    assert point().driver == "calendar"


def test_hold_holds_until_released(machine):
    hold = make.Hold(machine=machine, placed_at=ago(1), reason="brakes pull to the left")
    refresh(None, NOW)
    state, block = MachineState.objects.get(), Block.objects.get()
    assert (state.state, state.headline) == ("held", "held: brakes pull to the left")
    assert (block.kind, block.hard, block.hold) == (Kind.HOLD, True, hold)
    assert (block.first_day, block.last_day) == (ago(1).date(), None)
    hold.released_at = NOW
    hold.save()
    refresh(None, NOW)
    assert not Block.objects.exists()
    assert MachineState.objects.get().state != "held"


@pytest.mark.parametrize(("blocks_rental", "blocks"), [(True, 1), (False, 0)])
def test_overdue_service_blocks_where_it_is_said_to(machine, blocks_rental, blocks):
    oil = make.Service(name="Oil change", blocks_rental=blocks_rental)
    make.Interval(service=oil, makeup=machine.makeup, every=100)
    serviced(machine, oil, 30)
    refresh(None, NOW)
    assert point().state == "overdue"
    found = Block.objects.filter(kind=Kind.OVERDUE, first_day=TODAY, last_day=None, hard=False)
    assert found.count() == blocks


def test_hard_limit_on_the_calendar_bars_from_the_day_after_its_window(machine):
    check = make.Service(name="Annual inspection", blocks_rental=False)
    yearly = {"meter_kind": "", "every": None, "every_months": 12, "late_days": 5}
    make.Interval(service=check, makeup=machine.makeup, hard=True, **yearly)
    serviced(machine, check, 300)  # 6 May 2025: due 6 May 2026, late end 11 May
    refresh(None, NOW)
    block = Block.objects.get()
    assert (block.kind, block.hard) == (Kind.LIMIT, True)
    assert (block.first_day, block.last_day) == (date(2026, 5, 12), None)
    assert "do it or be back before then" in said(block)


def test_hard_limit_on_the_meter_bars_from_its_early_day(machine):
    check = make.Service(name="Chain inspection")
    make.Interval(service=check, makeup=machine.makeup, every=200, hard=True)
    serviced(machine, check, 30)  # due and closing at 420 h, 80 h from now
    refresh(None, NOW)
    block, due = Block.objects.get(), point()
    assert block.first_day == due.p10 < due.p50
    assert block.hard


def test_hard_limit_that_is_passed_bars_at_once(machine):
    check = make.Service(name="Chain inspection")
    make.Interval(service=check, makeup=machine.makeup, every=100, hard=True)
    serviced(machine, check, 30)
    refresh(None, NOW)
    block = Block.objects.get()
    assert (block.kind, block.hard, block.first_day) == (Kind.LIMIT, True, TODAY)
    assert "is past its hard limit" in said(block)


def test_inspection_of_the_law_that_was_never_seen_bars_at_once():
    machine = make.Machine(started_on=None)
    check = make.Service(name="Annual inspection")
    yearly = {"meter_kind": "", "every": None, "every_months": 12}
    make.Interval(service=check, makeup=machine.makeup, hard=True, **yearly)
    refresh(None, NOW)
    assert (point().state, point().never_done) == ("overdue", True)
    assert Block.objects.get().hard


def booked(machine, first, last):
    days = {"first_day": TODAY + timedelta(days=first), "last_day": TODAY + timedelta(days=last)}
    return make.Booking(machine=machine, **days)


@pytest.fixture
def oil_in_two_weeks(machine):
    oil = make.Service(name="Oil change")
    make.Interval(service=oil, makeup=machine.makeup, every=None, meter_kind="", every_days=44)
    serviced(machine, oil, 30)
    return oil


def test_booking_on_which_a_service_falls_due_is_at_risk(machine, oil_in_two_weeks):
    early, late = booked(machine, 3, 13), booked(machine, 14, 20)
    refresh(None, NOW)
    block = Block.objects.get()
    assert (block.kind, block.booking, block.hard) == (Kind.FALLS_DUE, late, False)
    assert (block.first_day, block.last_day) == (late.first_day, late.last_day)
    assert block.due_point == point()
    assert said(block).startswith("Oil change falls due from about Mon 16 Mar, back Sun 22 Mar.")
    assert "No shop day before it goes out Mon 16 Mar" in said(block)
    assert early.blocks.count() == 0


def test_booking_that_is_over_or_cancelled_is_not_at_risk(machine, oil_in_two_weeks):
    booking = booked(machine, 14, 20)
    booking.cancelled_at = NOW
    booking.save()
    back = booked(machine, -3, 20)
    back.hand_overs.create(direction="out", at=ago(3))
    back.hand_overs.create(direction="back", at=ago(1))
    refresh(None, NOW)
    assert not Block.objects.exists()


def test_machine_that_is_out_already_is_to_be_brought_in(machine, oil_in_two_weeks):
    booked(machine, -2, 20).hand_overs.create(direction="out", at=ago(2))
    refresh(None, NOW)
    assert "have it brought in, or swap the machine" in said(Block.objects.get())
