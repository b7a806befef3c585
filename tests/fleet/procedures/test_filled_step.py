"""A step with the numbers of its machine; unsaved rows, no database."""

import pytest

from fleet.models import Limit, MakeUpFigure, ServiceStep, Units
from fleet.procedures import BY_THE_MANUAL, OnMachine, fill_steps, limits_for, show_fill

Kind = ServiceStep.Kind
FILL = ServiceStep(
    position=1, key="fill", kind=Kind.FILL, place="engine oil", first_share=0.9375,
    text="Fill {first} of {grade} first; run, stop, check, then {rest} more: {quantity} in all.",
)  # fmt: skip


def on(capacity_ml=2000.0, units=Units.METRIC, **more):
    return OnMachine(1, fluids={"engine oil": (capacity_ml, "5W-40")}, units=units, **more)


def one(step, machine, *limits):
    (found,) = fill_steps([step], limits, machine)
    return found


def test_two_quads_with_two_sumps_read_differently():
    small, large = one(FILL, on(2000)), one(FILL, on(2300))
    assert (small.quantity_ml, large.quantity_ml) == (2000, 2300)
    assert "2.00 L in all" in small.text
    assert "2.30 L in all" in large.text
    assert small.grade == "5W-40"
    assert "5W-40" in small.text


@pytest.mark.parametrize(
    ("millilitres", "units", "said"),
    [
        (2400, Units.US, "2.54 qt"),  # a sump stamped 2400 cm3 is not one of 2.4 qt
        (2.4 * 946.352946, Units.US, "2.40 qt"),
        (2400, Units.METRIC, "2.40 L"),
        (60_000, Units.METRIC, "60.0 L"),
        (23_470, Units.US, "6.2 gal"),
    ],
)
def test_what_is_filled_in_is_told_in_the_units_of_the_yard(millilitres, units, said):
    assert show_fill(millilitres, units) == said


def test_of_two_point_four_quarts_two_and_a_quarter_go_in_first():
    """Common practice: 2.25 of 2.4 qt first, the rest after the run; 2.4 qt is 2271 mL."""
    sump = 2.4 * 946.352946
    assert round(sump) == 2271
    step = one(FILL, on(sump, Units.US))
    assert step.text.startswith("Fill 2.25 qt of 5W-40 first")
    assert "then 0.15 qt more: 2.40 qt in all" in step.text
    assert step.first_ml == pytest.approx(2.25 * 946.352946)


def test_a_make_up_that_does_not_say_leaves_it_to_the_manual():
    step = one(FILL, OnMachine(1))
    assert step.quantity_ml is None
    assert BY_THE_MANUAL in step.text
    assert step.lacks == "engine oil"


def test_a_step_of_another_build_is_left_out_and_an_open_one_says_so():
    drum = ServiceStep(position=1, text="Shoes even", only_on="front-brakes:drum")
    disc = ServiceStep(position=2, text="Pads even", only_on="front-brakes:disc")
    told = fill_steps([drum, disc], [], OnMachine(1, traits={"front-brakes": "drum"}))
    assert [step.text for step in told] == ["Shoes even"]
    untold = fill_steps([drum, disc], [], OnMachine(1))
    assert untold[1].text == "If it has disc brakes in front: Pads even"
    assert untold[1].only_if == "disc brakes in front"


def test_a_measure_carries_the_limits_of_its_make_up():
    step = ServiceStep(
        position=1, kind=Kind.MEASURE, text="Lining", measures="lining", required=True
    )
    general = Limit(pk=1, name="lining", unit="mm", possible_low=0, possible_high=20,
                    places="front left, front right")  # fmt: skip
    own = Limit(pk=2, makeup_id=7, name="lining", unit="mm", low=1.5, safety=True, source="p. 31")
    machine = OnMachine(7)
    found = one(step, machine, general, own)
    assert (found.limit_id, found.limit_low, found.safety, found.source) == (2, 1.5, True, "p. 31")
    assert found.required
    other = one(step, OnMachine(8), general, own)
    assert (other.limit_id, other.limit_low, other.possible_high) == (1, None, 20)
    assert other.places == ("front left", "front right")
    assert other.lacks == "lining"


def test_a_limit_of_its_own_takes_the_place_of_the_general_one():
    rows = [
        Limit(name="a"),
        Limit(name="b"),
        Limit(name="b", makeup_id=7),
        Limit(name="c", makeup_id=9),
    ]
    assert [(row.name, row.makeup_id) for row in limits_for(rows, 7)] == [("b", 7), ("a", None)]


def test_a_limit_that_no_step_names_is_measured_all_the_same():
    found = fill_steps(
        [ServiceStep(position=1, text="Look")], [Limit(pk=3, name="sag", low=1)], on()
    )
    assert [(step.kind, step.measures) for step in found] == [("do", ""), ("measure", "sag")]


def test_a_fasten_step_says_torque_tool_and_order():
    step = ServiceStep(
        position=1, kind=Kind.FASTEN, text="Plug back: {figure}", tool="17 mm socket",
        figure="drain plug torque", turning_order="crosswise",
    )  # fmt: skip
    known = on(figures={"drain plug torque": MakeUpFigure(value=25, unit="N·m")})
    found = one(step, known)
    assert (found.text, found.tool, found.turning_order) == (
        "Plug back: 25 N·m", "17 mm socket", "crosswise"
    )  # fmt: skip
    assert one(step, on()).lacks == "drain plug torque"


def test_braces_of_the_shop_stay():
    assert one(ServiceStep(position=1, text="Bolt {A} first"), on()).text == "Bolt {A} first"


def test_steps_that_follow_one_another_show_the_same_drawing_once():
    drawn = ["belt-give", "belt-give", "", "belt-give", "toe", "toe", "toe"]
    rows = [
        ServiceStep(position=n, key=f"s{n}", kind=Kind.CHECK, text="Look.", drawing=name)
        for n, name in enumerate(drawn)
    ]
    shown = [step.picture and step.picture.drawing for step in fill_steps(rows, [], on())]
    assert shown == ["belt-give", None, None, "belt-give", "toe", None, None]
