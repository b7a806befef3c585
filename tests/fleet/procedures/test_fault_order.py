"""The order of a search: chance times time saved over cost; it learns from the shop's cases."""

import pytest

from fleet.procedures.fault_library import (
    CheckOutcome,
    FaultCheck,
    Symptom,
    symptom_called,
    symptoms,
)
from fleet.procedures.fault_order import PRIOR_CASES, follows, next_check, ranked_checks

ENDS = (CheckOutcome("bad", "Bad", found="x"), CheckOutcome("good", "Good"))


def check(key, weight, minutes, **more):
    return FaultCheck(key, key, more.pop("finds", key), weight, minutes, ENDS, **more)


def order(*checks, found=None, traits=None):
    symptom = Symptom("s", "S", "battery", checks)
    return ranked_checks(symptom, found or {}, traits or {})


def keys(ranked):
    return [one.check.key for one in ranked]


def test_likely_and_cheap_comes_first():
    # worth: a 0.5*60/10 = 3, b 0.3*60/2 = 9, c 0.2*60/20 = 0.6
    ranked = order(check("a", 5, 10), check("b", 3, 2), check("c", 2, 20))
    assert keys(ranked) == ["b", "a", "c"]
    assert [one.worth for one in ranked] == pytest.approx([9, 3, 0.6])


def test_time_saved_counts():
    assert keys(order(check("a", 5, 10), check("b", 5, 10, saves=240))) == ["b", "a"]


def test_what_cannot_be_tested_comes_last_whatever_its_chance():
    assert keys(order(check("unit", 99, 1, untestable=True), check("a", 1, 60))) == ["a", "unit"]


def test_the_shops_own_cases_move_the_order():
    checks = (check("a", 8, 5), check("b", 2, 5))
    assert keys(order(*checks)) == ["a", "b"]
    assert keys(order(*checks, found={"b": 2})) == ["a", "b"]
    learned = order(*checks, found={"b": 20})
    assert keys(learned) == ["b", "a"]
    assert learned[0].chance == pytest.approx((PRIOR_CASES * 0.2 + 20) / (PRIOR_CASES + 20))
    assert sum(one.chance for one in learned) == pytest.approx(1)
    assert learned[0].found_here == 20


def test_two_checks_of_one_cause_share_its_cases():
    ranked = order(check("a1", 3, 5, finds="a"), check("a2", 1, 5, finds="a"), check("b", 4, 5),
                   found={"a": 10})  # fmt: skip
    chances = {one.check.key: one.chance for one in ranked}
    assert sum(chances.values()) == pytest.approx(1)
    assert chances["a1"] == pytest.approx(3 * chances["a2"])


def test_a_cause_that_is_an_answer_alone_moves_its_check():
    """A bare answer counts like a cause that the check is after: so many cases, so much chance."""
    answers = (CheckOutcome("rare", "Rare", found="rare"), *ENDS)
    either = FaultCheck("either", "either", "x", 1, 5, answers)
    assert keys(order(check("a", 9, 5), either)) == ["a", "either"]
    learned = order(check("a", 9, 5), either, found={"rare": 20})
    assert keys(learned) == ["either", "a"]
    assert learned[0].found_here == 20
    assert sum(one.chance for one in learned) == pytest.approx(1)


@pytest.mark.parametrize("symptom", symptoms(), ids=lambda one: one.key)
def test_each_cause_that_was_found_moves_the_order_of_its_symptom(symptom):
    plain = {one.check.key: one.chance for one in ranked_checks(symptom, {}, {})}
    for cause in {cause for one in symptom.checks for cause in one.can_find}:
        learned = ranked_checks(symptom, {cause: 30}, {})
        nearer = {one.check.key for one in learned if one.chance > plain[one.check.key]}
        assert nearer, cause
        assert nearer <= {one.key for one in symptom.checks if cause in one.can_find}, cause


def test_a_check_of_another_build_is_left_out():
    shaft = check("shaft", 9, 1, only_on="final-drive:shaft")
    assert keys(order(shaft, check("a", 1, 1), traits={"final-drive": "chain"})) == ["a"]
    assert keys(order(shaft, check("a", 1, 1))) == ["shaft", "a"]


def test_an_outcome_names_the_next_check():
    symptom = symptom_called("clicks")
    ranked = ranked_checks(symptom, {}, {})
    load = symptom.check("battery-load")
    good = load.outcome("good")
    assert follows(symptom, ranked, {}, load, good).check.key == "starter-lead"
    done = {"starter-lead": "there", "battery-load": "good"}
    assert next_check(symptom, ranked, done).check.key not in done


def test_when_all_is_done_no_check_is_left():
    symptom = symptom_called("dead")
    ranked = ranked_checks(symptom, {}, {})
    done = {one.check.key: one.check.outcomes[-1].key for one in ranked}
    assert next_check(symptom, ranked, done) is None


def test_a_click_begins_at_the_battery_and_does_not_begin_at_the_relay():
    ranked = keys(ranked_checks(symptom_called("clicks"), {}, {}))
    assert ranked[:2] == ["battery-load", "terminals"]
    assert ranked[-1] in {"engine-turns", "relay-across"}
