"""The chance that a service falls due before a machine is back, and what a day of hire uses."""

import pytest

from scheduling.availability.answer import answer
from scheduling.availability.counter_facts import Days
from scheduling.availability.due_before_back import service_chances
from scheduling.availability.objections import Cause
from scheduling.availability.three_answers import Answer
from scheduling.availability.use_on_hire import UseOnHire
from scheduling.models import State
from tests.factories import TODAY
from tests.scheduling.availability.known import day, point, service, standing

SPREAD = {"p10": day(8), "p50": day(12), "p90": day(20)}


def chance(first=0, last=12, use=None, **facts):
    own = point(pk=5, **facts)
    known = standing(due_points=[own], use=use or UseOnHire())
    found = service_chances(known, Days(day(first), day(last)), TODAY)
    return round(found[0].chance, 3) if found else None


@pytest.mark.parametrize(("last", "expected"), [(8, 0.1), (12, 0.5), (20, 0.9)])
def test_on_the_days_of_the_forecast_it_is_what_the_forecast_says(last, expected):
    assert chance(last=last, **SPREAD) == expected


def test_it_never_falls_with_the_days():
    found = [chance(last=last, chance_due=0.02, **SPREAD) for last in range(60)]
    assert found == sorted(found)
    assert 0.02 <= found[0] < 0.05
    assert found[-1] > 0.99


def test_a_date_is_certain_and_one_after_it_is_back_is_not_due():
    dated = {"p10": day(5), "p50": day(5), "p90": day(5), "due_day": day(5)}
    assert chance(last=5, **dated) == 1
    assert chance(last=4, **dated) == 0


def test_beyond_the_forecast_the_meter_tells():
    far = {"remaining": 300.0, "rate_per_day": 2.0, "meter_kind": "hours"}
    assert chance(last=150, **far) == pytest.approx(0.5, abs=0.01)
    assert chance(last=10, **far) < 0.01


def test_what_is_due_is_due_and_of_the_unknown_nothing_is_said():
    assert chance(state=State.OVERDUE) == 1
    assert chance(state=State.CLEAR) is None


def test_services_that_do_not_keep_it_here_are_left_out():
    assert chance(service=service(blocks_rental=False), **SPREAD) is None


class TestUse:
    METERED = {**SPREAD, "meter_kind": "hours", "rate_per_day": 2.0}

    def test_eight_hours_a_day_are_four_usual_days(self):
        """Out from day 5: two days of 8 h are 16 h, eight days of 2 h; they run on to day 12."""
        said = UseOnHire(said=8.0)
        assert chance(first=5, last=6, use=said, **self.METERED) == chance(last=12, **SPREAD)

    def test_the_past_hires_tell_where_the_customer_does_not(self):
        past = UseOnHire({"hours": 4.0})
        assert chance(first=5, last=8, use=past, **self.METERED) == chance(last=12, **SPREAD)
        known = UseOnHire({"hours": 4.0}, known=True)
        assert chance(first=5, last=8, use=known, **self.METERED) == chance(last=8, **SPREAD)

    def test_another_meter_and_the_calendar_are_not_stretched(self):
        said = UseOnHire(said=24.0)
        miles = {**self.METERED, "meter_kind": "distance"}
        assert chance(first=5, last=8, use=said, **miles) == chance(last=8, **SPREAD)
        dated = {**self.METERED, "due_day": day(12)}
        assert chance(first=5, last=8, use=said, **dated) == chance(last=8, **SPREAD)

    def test_it_moves_the_answer_and_the_day_to_be_back_by(self):
        own = point(pk=5, p50=day(6), meter_kind="hours", rate_per_day=2.0)
        days = Days(day(3), day(5))
        assert answer(standing(due_points=[own]), days, TODAY).kind == Answer.MAY
        hard_worked = standing(due_points=[own], use=UseOnHire(said=8.0))
        one = answer(hard_worked, days, TODAY)
        assert [each.cause for each in one.objections] == [Cause.DUE]
        assert one.objections[0].day == day(3)
        light = answer(standing(due_points=[own], use=UseOnHire(said=1.0)),
                       Days(day(3), day(9)), TODAY)  # fmt: skip
        assert light.kind == Answer.MAY


def test_the_likeliest_stands_first_in_words():
    points = [point(pk=1, p10=day(2), p50=day(3), p90=day(4)), point(pk=2, **SPREAD)]
    found = service_chances(standing(due_points=points), Days(TODAY, day(12)), TODAY)
    assert [one.words for one in found] == ["over 99 %", "50 %"]
