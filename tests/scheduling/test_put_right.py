"""Typed wrong, put right: nothing of the wrong one is left in any figure."""

from dataclasses import replace
from decimal import Decimal

import pytest

from fleet import models
from fleet.actions.correct_bookings import BookingCorrection
from fleet.actions.correct_findings import FindingCorrection, correct_finding, strike_finding
from fleet.actions.correct_hand_overs import HandOverCorrection, correct_hand_over, undo_hand_over
from fleet.actions.correct_meters import SwapCorrection, correct_swap, undo_swap
from fleet.actions.correct_readings import Correction
from fleet.actions.correct_records import correct_record, strike_record, work_of
from fleet.actions.count_stock import correct_count, count_shelf
from fleet.actions.fit_meters import Swap, swap_meter
from fleet.actions.hand_over import WALK_ROUND, WalkRound
from fleet.actions.make_bookings import NewBooking
from fleet.actions.note_findings import NewFinding, note_finding
from fleet.actions.put_readings_right import put_reading_right, strike_reading_out
from fleet.actions.read_at_hand_over import TypedReading
from fleet.actions.take_readings import NewReading, take_reading
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.actions.correct_promise import correct_unless_blocked
from scheduling.actions.finish_job import DoneWork, FinishedJob, JobReading, finish_job
from scheduling.actions.take_hand_over import (
    Handed,
    check_in_with_readings,
    check_out_with_readings,
)
from tests.factories import NOON, TODAY
from tests.scheduling.site_figures import HOUR, figures_after

pytestmark = pytest.mark.django_db


def differing(one, other):
    """Return what two sites do not have in common; empty where they are the same."""
    return {name: (one[name], other[name]) for name in one if one[name] != other[name]}


def nothing(yard):
    """Tell no story."""


def _job(yard, hours=104.0, pressure=250.0, litres=2000.0, code="oil"):
    service = models.Service.objects.get(code=code)
    limit, oil = models.Limit.objects.get(), models.Part.objects.get(number="OIL")
    measured = [(limit, pressure)] if code == "oil" else []
    job = FinishedJob(
        machine=yard.machine, form_key="j" * 32, done=[DoneWork(service, measured=measured)],
        readings=[JobReading("hours", hours)], minutes=50, parts=[(oil, litres)],
    )  # fmt: skip
    (record,) = finish_job(job, by=yard.mechanic, now=NOON + HOUR)
    return record


def right_job(yard):
    """The oil was done at 104 h."""
    record = _job(yard)
    models.ServiceRecord.objects.filter(pk=record.pk).update(cost=Decimal("30.00"))


def wrong_job(yard):
    """It was typed as the check at 110 h with a bad pressure, and put right an hour later."""
    wrong = _job(yard, hours=110.0, pressure=150.0, litres=4000.0)
    meter = models.Reading(meter=yard.meter, value=104.0)
    limit, oil = models.Limit.objects.get(), models.Part.objects.get(number="OIL")
    work = replace(
        work_of(wrong), readings=[meter], measured=[(limit, 250.0)], parts=[(oil, 2000.0)],
        cost=Decimal("30.00"),
    )  # fmt: skip
    correct_record(wrong, work, by=yard.mechanic, now=NOON + 2 * HOUR, why="another sheet")


def wrong_service(yard):
    """It was typed as the check, and it was the oil."""
    wrong = _job(yard, code="check")
    limit = models.Limit.objects.get()
    oil = models.Service.objects.get(code="oil")
    work = replace(work_of(wrong), service=oil, measured=[(limit, 250.0)], cost=Decimal("30.00"))
    correct_record(wrong, work, by=yard.mechanic, now=NOON + 2 * HOUR, why="the oil, not the check")


def struck_job(yard):
    """The job was struck; its reading stays."""
    strike_record(_job(yard), why="not done", by=yard.mechanic, now=NOON + 2 * HOUR)


def only_read(yard):
    """The meter was read and no work was done."""
    job = FinishedJob(
        machine=yard.machine, form_key="j" * 32, readings=[JobReading("hours", 104.0)]
    )
    finish_job(job, by=yard.mechanic, now=NOON + HOUR)


def _handed(yard, hours, hour, *wrong, back=True, unsafe=""):
    """Send the machine out at noon and take it back so many hours later; return the last."""
    points = {point: point not in wrong for point in WALK_ROUND}
    out = Handed(
        "o" * 20, [TypedReading("hours", 104.0)], seen=WalkRound(points if not back else FINE)
    )
    row = check_out_with_readings(yard.booking, out, Decision(yard.desk, NOON, "asked for"))
    if not back:
        return row
    handed = Handed(
        "b" * 20, [TypedReading("hours", hours)], seen=WalkRound(points, "seen"), unsafe=unsafe
    )
    at = NOON + hour * HOUR
    return check_in_with_readings(yard.booking, handed, Decision(yard.desk, at))


FINE = dict.fromkeys(WALK_ROUND, True)
BRAKES = WALK_ROUND[1]


def right_return(yard):
    """Back after one hour at 105 h with a fault of the brakes."""
    _handed(yard, 105.0, 1, BRAKES)


def wrong_return(yard):
    """It was typed as back after two hours at 106 h with a fault of the lights."""
    wrong = _handed(yard, 106.0, 2, WALK_ROUND[2])
    (reading,) = wrong.readings.all()
    right = HandOverCorrection(NOON + HOUR, {**FINE, BRAKES: False}, "seen", {reading.pk: 105.0})
    correct_hand_over(wrong, right, why="typed wrong", by=yard.desk, now=NOON + 3 * HOUR)


def only_out(yard):
    """Out at 104 h, and not back yet."""
    _handed(yard, 104.0, 1, back=False)


def undone_return(yard):
    """It was taken back by mistake, with a fault."""
    wrong = _handed(yard, 105.0, 1, BRAKES)
    undo_hand_over(wrong, why="another machine", by=yard.desk, now=NOON + 3 * HOUR)


def undone_check_out(yard):
    """It was let out with a fault by mistake."""
    wrong = _handed(yard, 104.0, 1, BRAKES, back=False)
    undo_hand_over(wrong, why="another machine", by=yard.desk, now=NOON + 3 * HOUR)


def _read(yard, value, hour):
    new = NewReading(
        machine=yard.machine, kind="hours", value=value, read_at=NOON + hour * HOUR, by=yard.desk
    )
    return take_reading(new, NOON + hour * HOUR)


def right_reading(yard):
    """104 h at one."""
    _read(yard, 104.0, 1)


def wrong_reading(yard):
    """It was typed as 110 h."""
    wrong = Correction(reading=_read(yard, 110.0, 1), value=104.0, by=yard.desk, note="misread")
    put_reading_right(wrong, NOON + 2 * HOUR)


def struck_reading(yard):
    """It was of another machine."""
    wrong = _read(yard, 104.0, 1)
    strike_reading_out(wrong, why="another machine", by=yard.desk, now=NOON + 2 * HOUR)


def _swap(yard, old_last, new_first):
    at = NOON - 24 * HOUR
    one = Swap(meter=yard.meter, at=at, old_last=old_last, new_first=new_first, by=yard.mechanic)
    return swap_meter(one, NOON)


def right_swap(yard):
    """Swapped yesterday at 108 h for one that began at 2 h."""
    _swap(yard, 108.0, 2.0)


def wrong_swap(yard):
    """It was typed as swapped at 180 h for one at 0."""
    right = SwapCorrection(NOON - 24 * HOUR, 108.0, 2.0)
    correct_swap(_swap(yard, 180.0, 0.0), right, why="slip", by=yard.mechanic, now=NOON + HOUR)


def undone_swap(yard):
    """It was of another machine."""
    undo_swap(_swap(yard, 108.0, 2.0), why="another", by=yard.mechanic, now=NOON + HOUR)


def _found(yard, text, gravity, minutes):
    service = models.Service.objects.get(code="check")
    new = NewFinding(yard.machine, text, gravity, minutes=minutes, calls_for=service)
    return note_finding(new, by=yard.mechanic, now=NOON)


def right_finding(yard):
    """A chafed hose."""
    _found(yard, "hose chafed", "defect", 30)


def wrong_finding(yard):
    """It was typed as a belt."""
    right = FindingCorrection("hose chafed", "defect", 30)
    wrong = _found(yard, "belt chafed", "note", 60)
    correct_finding(wrong, right, why="slip", by=yard.mechanic, now=NOON + HOUR)


def struck_finding(yard):
    """It was another machine's."""
    wrong = _found(yard, "belt chafed", "defect", 60)
    strike_finding(wrong, why="another machine", by=yard.mechanic, now=NOON + HOUR)


def _counted(yard, quantity):
    part = models.Part.objects.get(number="OF-1")
    return count_shelf(part, yard.mechanic.shop, quantity, by=yard.mechanic, now=NOON)


def right_count(yard):
    """Seven filters."""
    _counted(yard, 7.0)


def wrong_count(yard):
    """They were typed as 70."""
    wrong = _counted(yard, 70.0)
    correct_count(wrong, 7.0, why="slip", by=yard.mechanic, now=NOON + HOUR)


def right_booking(yard):
    """Three days for Two Rivers."""
    yard.booking.delete()
    new = NewBooking(yard.machine, TODAY, TODAY + 72 * HOUR, "Two Rivers")
    book_unless_blocked(new, Decision(yard.desk, NOON, "asked for"))


def wrong_booking(yard):
    """It was typed as a day of another machine for Alder Creek."""
    yard.booking.delete()
    other = models.Machine.objects.get(tag="Q-2")
    wrong = book_unless_blocked(
        NewBooking(other, TODAY, TODAY, "Alder Creek"), Decision(yard.desk, NOON, "asked for")
    )
    right = BookingCorrection(yard.machine, TODAY, TODAY + 72 * HOUR, "Two Rivers")
    correct_unless_blocked(wrong, right, Decision(yard.desk, NOON + HOUR, "slip"))


STORIES = {
    "a reading": (wrong_reading, right_reading),
    "a reading that is struck": (struck_reading, nothing),
    "a swap": (wrong_swap, right_swap),
    "a swap that never was": (undone_swap, nothing),
    "a finding": (wrong_finding, right_finding),
    "a finding that is struck": (struck_finding, nothing),
    "a count": (wrong_count, right_count),
    "a booking": (wrong_booking, right_booking),
    "a return": (wrong_return, right_return),
    "a return that never was": (undone_return, only_out),
    "a check-out that never was": (undone_check_out, nothing),
    "an entry of the book": (wrong_job, right_job),
    "another service than was done": (wrong_service, right_job),
    "an entry that is struck": (struck_job, only_read),
}


@pytest.mark.parametrize("kind", STORIES)
def test_what_was_put_right_leaves_what_the_right_one_would_have_given(kind):
    wrong, right = STORIES[kind]
    expected = figures_after(right)
    found = figures_after(wrong)
    assert differing(found, {**expected, "stock": found["stock"]}) == {}
    stock = {part: round(left, 6) for part, left in found["stock"].items() if round(left, 6)}
    assert stock == {p: round(left, 6) for p, left in expected["stock"].items() if left}


@pytest.mark.parametrize("kind", [kind for kind in STORIES if STORIES[kind][1] is not nothing])
def test_the_comparison_tells_a_wrong_site_from_a_right_one(kind):
    _, right = STORIES[kind]
    assert differing(figures_after(nothing), figures_after(right))
