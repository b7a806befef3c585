"""What is not in order on a point for safety: held at once, or answered for by name."""

from datetime import timedelta

import pytest

from fleet.actions.hand_over import WALK_ROUND, WalkRound
from fleet.actions.read_at_hand_over import TypedReading
from fleet.actions.undo_acts import undo_act
from fleet.models import Act, Finding, HandOver, Hold, LoggedChange, Override, Role
from fleet.queries.judge_readings import ReadingRefused
from fleet.queries.safety_findings import open_safety_findings
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.take_hand_over import (
    Handed,
    check_in_with_readings,
    check_out_with_readings,
    hold_at_once,
)
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.let_before import let_before

pytestmark = pytest.mark.django_db
BRAKES, LIGHTS = WALK_ROUND[1], WALK_ROUND[2]
LATER = NOON + timedelta(days=1)
REASON = "goes to the ranch on the lowboy"


@pytest.fixture
def desk():
    return factories.Person(role=Role.DESK)


@pytest.fixture
def booking():
    return factories.Booking(
        machine=let_before(100.0, read_ago=timedelta(days=3)), first_day=TODAY,
        last_day=TODAY + timedelta(days=4),
    )  # fmt: skip


def handed(key, *wrong, value=110.0, still=(), unsafe="", **more):
    points = {point: point not in wrong for point in WALK_ROUND}
    seen = WalkRound(points, safety=frozenset({BRAKES}), **more)
    return Handed(key, [TypedReading("hours", value)], (), seen, unsafe, still)


def out(booking, desk, *wrong, **more):
    return check_out_with_readings(booking, handed("out", *wrong, **more), Decision(desk, NOON))


def back(booking, desk, *wrong, key="back", **more):
    return check_in_with_readings(booking, handed(key, *wrong, **more), Decision(desk, LATER))


def test_at_return_it_is_back_and_held(booking, desk):
    out(booking, desk)
    row = back(booking, desk, BRAKES)
    hold = Hold.objects.get()
    assert "brakes and steering work" in hold.reason
    assert hold.for_safety
    assert row.findings.get().gravity == Finding.Gravity.UNSAFE
    assert list(row.just_hung) == [hold]


def test_a_point_that_is_not_for_safety_holds_nothing(booking, desk):
    out(booking, desk)
    back(booking, desk, LIGHTS)
    assert Finding.objects.get().gravity == Finding.Gravity.DEFECT
    assert not Hold.objects.exists()


def test_answered_for_it_stays_free_with_name_and_reason(booking, desk):
    out(booking, desk)
    row = back(booking, desk, BRAKES, reason=REASON)
    kept = Override.objects.get()
    assert (kept.by, kept.reason, kept.at) == (desk, REASON, row.at)
    assert not Hold.objects.exists()
    assert open_safety_findings(booking.machine) == list(row.findings.all())


def test_at_check_out_it_is_held_and_stays(booking, desk):
    assert out(booking, desk, BRAKES) is None
    assert Hold.objects.count() == 1
    assert not HandOver.objects.exists()


def test_at_check_out_it_may_go_by_name_and_reason(booking, desk):
    out(booking, desk, BRAKES, reason=REASON)
    assert Override.objects.get().against == f"not safe: walk-round: {BRAKES}"
    assert not Hold.objects.exists()


def test_found_out_and_back_it_is_one_finding_and_one_hold(booking, desk):
    out(booking, desk, BRAKES, reason=REASON)
    for _ in range(2):
        back(booking, desk, BRAKES)
    assert Finding.objects.count() == Hold.objects.count() == 1


def test_it_is_held_even_if_the_reading_is_odd_and_once_when_sent_again(booking, desk):
    out(booking, desk)
    with pytest.raises(ReadingRefused):
        back(booking, desk, BRAKES, value=9.0)
    row = back(booking, desk, BRAKES, value=111.0)
    assert Hold.objects.count() == 1
    assert row.findings.count() == 1


def test_a_point_and_something_else_are_two_things(booking, desk):
    out(booking, desk)
    back(booking, desk, BRAKES, unsafe="the arms drop")
    assert Hold.objects.count() == 2


class TestOpenFindings:
    """A finding for safety that nobody wrote was put right is asked about before it goes."""

    @pytest.fixture
    def finding(self, booking):
        return factories.Finding(
            machine=booking.machine, text="brakes fade", gravity=Finding.Gravity.UNSAFE
        )

    def test_unanswered_it_does_not_go(self, booking, desk, finding):
        with pytest.raises(Refusal, match="brakes fade"):
            out(booking, desk)

    def test_put_right_it_is_settled_under_the_name_and_goes(self, booking, desk, finding):
        out(booking, desk, put_right=frozenset({finding.pk}))
        finding.refresh_from_db()
        assert (finding.settled_by, finding.settled_at) == (desk, NOON)
        assert str(desk) in finding.settled_note

    def test_undone_it_is_open_again(self, booking, desk, finding):
        out(booking, desk, put_right=frozenset({finding.pk}))
        undo_act(Act.objects.get(), by=desk, now=NOON + timedelta(minutes=5))
        assert open_safety_findings(booking.machine) == [finding]

    def test_not_put_right_it_is_held(self, booking, desk, finding):
        assert out(booking, desk, still=[finding]) is None
        assert Hold.objects.get().finding == finding

    def test_not_put_right_it_goes_by_reason_alone(self, booking, desk, finding):
        out(booking, desk, still=[finding], reason=REASON)
        assert "brakes fade" in Override.objects.get().against

    def test_what_a_hold_hangs_on_is_not_asked(self, booking, finding):
        factories.Hold(machine=booking.machine, finding=finding)
        assert open_safety_findings(booking.machine) == []


class TestUndone:
    def test_a_return_undone_lets_its_hold_go_and_strikes_what_was_found(self, booking, desk):
        out(booking, desk)
        back(booking, desk, BRAKES)
        undo_act(Act.objects.get(what="back"), by=desk, now=LATER + timedelta(minutes=5))
        assert not Hold.objects.filter(released_at=None).exists()
        assert Finding.objects.get().struck

    def test_a_hold_on_what_was_known_before_goes_and_the_finding_stays(self, booking, desk):
        out(booking, desk, BRAKES, reason=REASON)
        back(booking, desk, BRAKES)
        undo_act(Act.objects.get(what="back"), by=desk, now=LATER + timedelta(minutes=5))
        assert not Hold.objects.filter(released_at=None).exists()
        assert not Finding.objects.get().struck

    def test_what_was_answered_for_is_struck(self, booking, desk):
        out(booking, desk)
        back(booking, desk, BRAKES, reason=REASON)
        undo_act(Act.objects.get(what="back"), by=desk, now=LATER + timedelta(minutes=5))
        assert Override.objects.get().struck

    def test_held_at_check_out_it_is_let_go(self, booking, desk):
        hold_at_once(booking.machine, handed("out", BRAKES), Decision(desk, NOON), "out")
        undo_act(Act.objects.get(), by=desk, now=NOON + timedelta(minutes=5))
        assert not Hold.objects.filter(released_at=None).exists()
        assert LoggedChange.objects.filter(kind="hold", act="undone").exists()
