"""Typed wrong, put right: nothing of the wrong one is left in any figure."""

from dataclasses import replace
from decimal import Decimal

import pytest

from fleet import models
from fleet.actions.correct_hand_overs import HandOverCorrection, correct_hand_over, undo_hand_over
from fleet.actions.correct_records import correct_record, strike_record, work_of
from fleet.actions.hand_over import WALK_ROUND, WalkRound
from fleet.actions.read_at_hand_over import TypedReading
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.finish_job import DoneWork, FinishedJob, JobReading, finish_job
from scheduling.actions.take_hand_over import (
    Handed,
    check_in_with_readings,
    check_out_with_readings,
)
from tests.factories import NOON
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


STORIES = {
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
