"""Due points, states and blocks through the database, each worked out by hand beside."""

from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.models import Anchor, MeterKind, RecordedMeter
from scheduling.due.refresh import refresh
from scheduling.models import MachineState
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago, point, serviced, steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil():
    return make.Service(name="Oil change", code="oil")


def test_due_point_follows_from_the_life_at_the_last_service(oil):
    machine = make.Machine()
    steady(machine)  # 4 h a day: 220 h thirty days ago
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 30)
    refresh(None, NOW)
    due = point()
    assert (due.due_life, due.life_now, due.remaining) == pytest.approx((470, 340, 130))
    assert (due.state, due.driver, due.last_done_on) == ("clear", "meter", date(2026, 1, 31))
    # 130 h at about 4 h a day: a good month
    assert date(2026, 3, 15) < due.p10 <= due.p50 < date(2026, 5, 1)
    assert "4 h a day over the last 6 weeks" in due.why
    assert "130 h to go" in due.why


@pytest.mark.parametrize(
    ("anchor", "due_life"),
    [
        # Every 100 h from a start at 0 h, window 10 h early.  Done at 100 h and at 212 h.
        (Anchor.FROM_SERVICE, 312),  # 212 + 100
        (Anchor.FROM_DUE_POINT, 300),  # the grid of hundreds goes on
        (Anchor.KEEP_UNLESS_EARLY, 300),  # not early: the grid goes on
        (Anchor.KEEP_WITHIN_WINDOW, 312),  # 12 h late is outside the window: from the service
    ],
)
def test_each_anchor_gives_its_own_next_due_point(oil, anchor, due_life):
    machine = make.Machine(started_on=ago(85).date())
    meter = make.Meter(machine=machine, fitted_at=ago(85), first_value=0)
    for back, value in [(60, 100), (32, 212), (0, 290)]:
        make.Reading(meter=meter, read_at=ago(back), value=value)
    interval = {"anchor": anchor, "early": 10, "late": 10}
    make.Interval(service=oil, makeup=machine.makeup, every=100, **interval)
    serviced(machine, oil, 60)
    serviced(machine, oil, 32)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(due_life)


def test_window_makes_due_before_and_overdue_after(oil):
    machine = make.Machine()
    steady(machine)
    interval = make.Interval(service=oil, makeup=machine.makeup, every=130, early=15, late=5)
    serviced(machine, oil, 30)  # at 220 h: due at 350 h, window 335 to 355 h, now 340 h
    refresh(None, NOW)
    assert point().state == "due"
    assert MachineState.objects.get().headline == "Oil change due now, 10 h left"
    interval.every = 110  # due at 330 h, late until 335 h
    interval.save()
    refresh(None, NOW)
    assert point().state == "overdue"
    assert MachineState.objects.get().headline == "Oil change overdue by 10 h"


def test_calendar_side_keeps_the_day_of_the_month(oil):
    machine = make.Machine()
    make.Interval(service=oil, makeup=machine.makeup, meter_kind="", every=None, every_months=1)
    serviced(machine, oil, 30)  # 31 January
    refresh(None, NOW)
    due = point()
    assert due.due_day == date(2026, 2, 28)
    assert (due.state, due.driver, due.p50) == ("overdue", "calendar", TODAY)


def test_own_interval_takes_the_place_of_the_make_ups(oil):
    makeup = make.MakeUp()
    plain, special = make.Machine(makeup=makeup), make.Machine(makeup=makeup)
    for machine in (plain, special):
        steady(machine)
        serviced(machine, oil, 30)
    make.Interval(service=oil, makeup=makeup, every=250)
    make.Interval(service=oil, makeup=None, machine=special, every=150)
    refresh(None, NOW)
    assert point(plain).due_life == pytest.approx(470)
    assert point(special).due_life == pytest.approx(370)


def test_bigger_service_covers_the_smaller(oil):
    full, half = make.Service(name="Full service"), make.Service(name="Half service")
    machine = make.Machine()
    make.cover(machine.makeup, full, half)
    make.cover(machine.makeup, half, oil)
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 60)
    serviced(machine, full, 30)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(470)
    assert point().last_done_on == ago(30).date()


def test_a_service_that_does_not_cover_it_on_the_make_up_resets_nothing(oil):
    """The full service includes the oil of one make-up alone; both were done 30 days ago."""
    full = make.Service(name="Full service")
    said, other = make.Machine(), make.Machine()
    make.cover(said.makeup, full, oil)
    for machine in (said, other):
        steady(machine)
        make.Interval(service=oil, makeup=machine.makeup, every=250)
        serviced(machine, oil, 60)
        serviced(machine, full, 30)
    refresh(None, NOW)
    assert point(said).last_done_on == ago(30).date()
    assert point(other).last_done_on == ago(60).date()


def test_duty_factors_of_yard_and_machine_shorten_the_interval(oil):
    machine = make.Machine(duty_factor=0.8, yard=make.Yard(duty_factor=0.5))
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 30)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(220 + 250 * 0.4)


def test_meter_noted_at_the_service_stands_before_the_line(oil):
    machine = make.Machine()
    meter = steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    record = serviced(machine, oil, 28)  # the line says 228 h
    RecordedMeter.objects.create(record=record, meter=meter, value=229.5)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(479.5)


def test_corrected_and_void_records_do_not_count(oil):
    machine = make.Machine()
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    wrong = serviced(machine, oil, 10)
    serviced(machine, oil, 30, corrects=wrong)
    undone = serviced(machine, oil, 5)
    serviced(machine, oil, 5, corrects=undone, void=True)
    refresh(None, NOW)
    assert point().due_life == pytest.approx(470)


def test_corrected_and_struck_readings_do_not_count(oil):
    machine = make.Machine()
    meter = steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 30)
    wrong = make.Reading(meter=meter, read_at=NOW + timedelta(minutes=-5), value=349)
    make.Reading(meter=meter, read_at=NOW + timedelta(minutes=-5), value=341, corrects=wrong)
    struck = make.Reading(meter=meter, read_at=NOW + timedelta(minutes=-1), value=352)
    make.Reading(meter=meter, read_at=struck.read_at, value=352, corrects=struck, void=True)
    refresh(None, NOW)
    assert point().life_now == pytest.approx(341)


def test_life_goes_on_across_a_swap(oil):
    machine = make.Machine()
    old = make.Meter(machine=machine, fitted_at=ago(400), removed_at=ago(20), last_value=260)
    new = make.Meter(machine=machine, fitted_at=ago(20), first_value=5)
    for back, value in [(60, 100), (40, 180)]:
        make.Reading(meter=old, read_at=ago(back), value=value)
    for back, value in [(10, 45), (0, 85)]:
        make.Reading(meter=new, read_at=ago(back), value=value)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 40)
    refresh(None, NOW)
    # 180 h at the service; 260 h at the swap; then 85 - 5 = 80 h on the new meter
    assert (point().due_life, point().life_now) == pytest.approx((430, 340))


def test_life_goes_on_across_a_rollover(oil):
    machine = make.Machine()
    ended = {"removed_at": ago(15), "last_value": 9999, "rolls_over_at": 9999}
    old = make.Meter(machine=machine, fitted_at=ago(400), first_value=0, **ended)
    new = make.Meter(machine=machine, fitted_at=ago(15), first_value=0)
    make.Reading(meter=old, read_at=ago(40), value=9900)
    make.Reading(meter=new, read_at=NOW, value=61)
    make.Interval(service=oil, makeup=machine.makeup, every=200)
    serviced(machine, oil, 40)
    refresh(None, NOW)
    assert (point().due_life, point().remaining) == pytest.approx((10100, 40))


def test_known_life_at_fitting_is_added(oil):
    machine = make.Machine()
    steady(machine, start=0.0, life_at_fitting=1200)
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    refresh(None, NOW)
    assert point().life_now == pytest.approx(1440)


def test_typing_error_is_not_believed(oil):
    machine = make.Machine()
    meter = steady(machine)
    make.Reading(meter=meter, read_at=ago(12), value=2920)  # 292.0 without its point
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 30)
    refresh(None, NOW)
    assert point().life_now == pytest.approx(340)


def test_odd_reading_that_a_person_confirmed_is_believed(oil):
    machine = make.Machine()
    meter = make.Meter(machine=machine, fitted_at=ago(400))
    for back, value in [(30, 100), (20, 101), (10, 102)]:
        make.Reading(meter=meter, read_at=ago(back), value=value)
    make.Reading(meter=meter, read_at=NOW, value=332, really_so=True)  # 23 h a day on a pump
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    refresh(None, NOW)
    assert point().life_now == pytest.approx(332)


def test_stale_reading_may_hide_a_service_that_is_due(oil):
    machine = make.Machine()
    meter = make.Meter(machine=machine, fitted_at=ago(400))
    for back in range(120, 19, -5):
        make.Reading(meter=meter, read_at=ago(back), value=100 + 4.0 * (120 - back))
    make.Interval(service=oil, makeup=machine.makeup, every=250)
    serviced(machine, oil, 75)  # at 280 h: due at 530 h; read at 500 h twenty days ago
    refresh(None, NOW)
    due = point()
    assert due.chance_due > 0.5
    assert due.state == "due"
    assert due.why.startswith("May already be due: read the hour meter")
    assert "read the hour meter" in MachineState.objects.get().headline


def test_coming_due_within_the_shops_look_ahead(oil):
    machine = make.Machine()
    steady(machine)
    make.Interval(service=oil, makeup=machine.makeup, every=150)  # due at 370 h, in a week
    serviced(machine, oil, 30)
    refresh(None, NOW)
    assert (point().state, MachineState.objects.get().state) == ("coming", "coming")
    machine.yard.shop.look_ahead_days = 2
    machine.yard.shop.save()
    refresh(None, NOW)
    assert point().state == "clear"


def test_days_are_those_of_the_yard(oil):
    """23:30 in Denver on 1 March is 06:30 on 2 March in UTC."""
    late = datetime(2026, 3, 2, 6, 30, tzinfo=UTC)
    denver, zurich = make.Yard(time_zone="America/Denver"), make.Yard(time_zone="Europe/Zurich")
    machines = [make.Machine(yard=yard) for yard in (denver, zurich)]
    for machine in machines:
        meter = make.Meter(machine=machine, fitted_at=ago(400))
        make.Reading(meter=meter, read_at=ago(20), value=100)
        make.Reading(meter=meter, read_at=late, value=180)
        make.Interval(
            service=oil, makeup=machine.makeup, every=250, every_days=1, meter_kind="hours"
        )
        make.ServiceRecord(machine=machine, service=oil, done_at=late)
    refresh(None, late)
    west, east = point(machines[0]), point(machines[1])
    assert (west.read_on, east.read_on) == (date(2026, 3, 1), date(2026, 3, 2))
    assert (west.due_day, east.due_day) == (date(2026, 3, 2), date(2026, 3, 3))
    days = MachineState.objects.order_by("machine_id").values_list("computed_for", flat=True)
    assert list(days) == [date(2026, 3, 1), date(2026, 3, 2)]


def test_storage_rests_the_meter_and_not_the_calendar(oil):
    used, stored = make.Machine(), make.Machine()
    for machine in (used, stored):
        steady(machine)
        make.Interval(service=oil, makeup=machine.makeup, every=250, every_months=12)
        serviced(machine, oil, 30)
    stored.storages.create(first_day=TODAY + timedelta(days=1))
    refresh(None, NOW)
    assert point(used).p50 is not None
    assert point(stored).p50 is None  # beyond 120 days: only the calendar goes on
    assert point(stored).due_day == point(used).due_day == date(2027, 1, 31)


def test_machines_lacking_something_say_so_and_go_on(oil):
    makeup = make.MakeUp()
    makeup.meters.create(kind=MeterKind.HOURS)
    make.Interval(service=oil, makeup=makeup, every=250)
    bare = make.Machine()
    meterless, unread = make.Machine(makeup=makeup), make.Machine(makeup=makeup)
    make.Meter(machine=unread, fitted_at=ago(30))
    startless = make.Machine(makeup=makeup, started_on=None)
    steady(startless)
    report = refresh(None, NOW)
    said = {s.machine_id: (s.state, s.missing) for s in MachineState.objects.all()}
    assert said[bare.pk] == ("unknown", "no service interval is set up for it; add one in Set-up")
    assert said[meterless.pk][0] == "unknown"
    assert "no hour meter is on record" in said[meterless.pk][1].lower()
    assert said[unread.pk][1].startswith("no reading of its hour meter yet; the forecast is that")
    assert "start date" in said[startless.pk][1]
    assert point(startless).state == "due"
    assert point(startless).driver == "never"
    assert len(report.missing) == 4
    no_service = "1 machine: no service interval is set up for it; add one in Set-up."
    assert no_service in report.missing


def test_unread_machine_is_forecast_as_its_class(oil):
    makeup, yard = make.MakeUp(), make.Yard()
    make.Interval(service=oil, makeup=makeup, every=100)
    for _ in range(6):
        steady(make.Machine(makeup=makeup, yard=yard))
    unread = make.Machine(makeup=makeup, yard=yard, started_on=ago(5).date())
    make.Meter(machine=unread, fitted_at=ago(5))
    refresh(None, NOW)
    due = point(unread)
    assert (due.state, due.life_now, due.remaining) == ("unknown", None, 100)
    assert due.p50 > TODAY
    assert "as its class does" in due.why


def test_interval_that_cannot_be_met_is_named_and_the_rest_goes_on(oil):
    machine = make.Machine()
    steady(machine)
    good = make.Service(name="Grease")
    make.Interval(service=oil, makeup=machine.makeup, every=-5)
    make.Interval(service=good, makeup=machine.makeup, every=400)
    refresh(None, NOW)
    assert point(service=good).state == "clear"
    assert "interval of Oil change cannot be met" in MachineState.objects.get().missing


def test_empty_fleet_says_so():
    report = refresh(None, NOW)
    assert report.machines == 0
    assert report.missing == ["There is no machine yet; add one in Set-up."]
    make.Yard()
    assert refresh(None, NOW).machines == 0
