"""What a counter should know of a machine that may go out all the same."""

from fleet.models import Finding
from scheduling.availability.counter_facts import StandingBooking
from scheduling.availability.send_with import cautions, doubts
from scheduling.models import Block, MachineState, State
from tests.factories import NOON, TODAY
from tests.scheduling.availability.known import DAYS, block, booking, day, point, service, standing


def told(**facts):
    return cautions(standing(**facts), DAYS, TODAY)


def test_a_clear_machine_needs_no_caution():
    assert told() == []


def test_a_service_that_may_fall_due_early_asks_for_a_reading():
    said = told(due_points=[point(p10=day(5), p50=day(12), meter_kind="hours")])
    assert said == [
        "Oil service may fall due as early as Sat 7 Mar, in 5 days:"
        " read the hour meter before it goes."
    ]


def test_one_that_is_likely_due_is_an_objection_and_no_caution():
    assert told(due_points=[point(p10=day(2), p50=day(5))]) == []


def test_a_service_that_does_not_bar_is_named():
    greasing = service("Greasing", blocks_rental=False)
    (said,) = told(due_points=[point(p50=day(5), service=greasing)])
    assert said.startswith("Greasing is due Sat 7 Mar")


def test_an_open_defect_is_told_with_its_day():
    (said,) = told(defects=[Finding(seen_at=NOON, text="hose chafed.")])
    assert said == "Seen Mon 2 Mar and not mended yet: hose chafed."


def test_a_machine_that_is_late_back_is_doubtful_for_later_days():
    (said,) = told(promises=[StandingBooking(booking(-5, -1), is_out=True)])
    assert "still out with Alder Creek fencing" in said


def test_a_later_shop_day_gives_way():
    (said,) = told(blocks=[block(Block.Kind.IN_SHOP, 4, 4)])
    assert "planned into the shop Fri 6 Mar" in said


def test_what_is_missing_is_a_doubt_and_a_defect_is_not():
    state = MachineState(state=State.CLEAR, missing="no reading of its hour meter yet")
    known = standing(state=state, defects=[Finding(seen_at=NOON, text="hose chafed")])
    assert doubts(known, DAYS, TODAY) == ["No reading of its hour meter yet."]
    assert len(cautions(known, DAYS, TODAY)) == 2
