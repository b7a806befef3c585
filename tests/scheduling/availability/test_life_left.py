"""What is left until the next service that bars a machine."""

from scheduling.availability.life_left import room
from tests.scheduling.availability.known import day, point, service, standing


def test_the_service_that_comes_first_is_named_with_what_is_left():
    found = room(
        standing(
            due_points=[
                point(1, service=service("Late"), p50=day(40), remaining=90.0, meter_kind="hours"),
                point(2, service=service("Soon"), p50=day(9), remaining=23.4, meter_kind="hours"),
            ]
        )
    )
    assert (found.service, found.words, found.next_day) == ("Soon", "23 h", day(9))


def test_a_machine_past_its_point_has_nothing_left():
    found = room(standing(due_points=[point(p50=day(0), remaining=-5.0, meter_kind="hours")]))
    assert found.left == 0


def test_a_service_that_does_not_bar_does_not_count():
    assert room(standing(due_points=[point(service=service(blocks_rental=False))])).service == ""
