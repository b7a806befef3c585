"""What a manual says goes into the make-up, and from there into every step."""

import pytest

from fleet.actions.keep_manual import SaidBounds, SaidByManual, SaidFigure, keep_manual
from fleet.actions.take_procedures import take_procedures
from fleet.models import LoggedChange
from fleet.procedures import steps_for
from fleet.procedures.library import procedure_called
from fleet.queries.manual_questions import manual_questions
from fleet.refusal import Refusal
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db
SAID = SaidByManual(
    {"front-brakes": "drum", "final-drive": "shaft"},
    [SaidFigure("drain cap torque", 25, "N·m", source="p. 12"),
     SaidFigure("clutch adjuster direction and turns", words="anti-clockwise, an eighth back")],
    [SaidBounds("front brake lining", low=1.0, source="p. 30")],
)  # fmt: skip


@pytest.fixture
def makeup():
    take_procedures([procedure_called("quad-yearly")], by=make.Person(), now=NOON)
    return make.MakeUp(machine_class__name="Quad")


def steps(makeup):
    (service,) = {row.service for row in makeup.limit_set.all()} or {None}
    machine = make.Machine(makeup=makeup)
    return {step.key: step for step in steps_for(machine, [service])[service.pk]}


def test_what_is_said_stands_in_the_steps(makeup):
    before = manual_questions(makeup).open
    kept = keep_manual(makeup, SAID, by=make.Person(), now=NOON)
    assert kept == 4  # the build, two figures, one limit
    found = steps(makeup)
    assert "25 N·m" in found["drain-cap"].text
    assert "anti-clockwise, an eighth back" in found["clutch-adjuster"].text
    assert (found["front-lining"].limit_low, found["front-lining"].source) == (1.0, "p. 30")
    assert found["front-lining"].places == ("left", "right")
    assert found["front-lining"].safety
    assert not {"front-discs", "chain"} & found.keys()
    assert manual_questions(makeup).open < before - 4  # and what discs and chains would have asked
    assert LoggedChange.objects.filter(act="said by its manual").count() == 1


def test_the_same_said_twice_changes_nothing(makeup):
    keep_manual(makeup, SAID, by=make.Person(), now=NOON)
    assert keep_manual(makeup, SAID, by=make.Person(), now=NOON) == 0
    assert LoggedChange.objects.filter(act="said by its manual").count() == 1


def test_another_make_up_keeps_its_own(makeup):
    other = make.MakeUp(machine_class=makeup.machine_class)
    keep_manual(makeup, SAID, by=make.Person(), now=NOON)
    assert manual_questions(other).figures["drain cap torque"] is None


@pytest.mark.parametrize("bounds", [{"low": -1}, {"low": 380}, {"low": 5, "high": 2}, {}])
def test_what_cannot_be_is_refused(makeup, bounds):
    said = SaidByManual(bounds=[SaidBounds("rear brake lining", **bounds)])
    if bounds:
        with pytest.raises(Refusal):
            keep_manual(makeup, said, by=make.Person(), now=NOON)
    else:
        assert keep_manual(makeup, said, by=make.Person(), now=NOON) == 1


def test_a_lining_and_a_torque_of_another_build_are_not_asked_for(makeup):
    makeup.traits = {"front-brakes": "disc", "clutch-adjuster": "no"}
    makeup.save()
    asked = manual_questions(makeup).figures
    assert "clutch adjuster direction and turns" not in asked
    assert "drain cap torque" in asked
