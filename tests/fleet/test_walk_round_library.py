"""The library of walk-rounds: which kind a class is of, and what each kind is looked at for."""

import pytest

from fleet.actions.fill_walk_rounds import fill_walk_round
from fleet.models import WalkRoundPoint
from fleet.queries.points_of_class import points_of
from fleet.walk_round_library import GENERAL, general_points, kind_of_class, kinds
from tests import factories


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Quad", "quad"),
        ("Side-by-sides", "side-by-side"),
        ("Compact tractor", "tractor"),
        ("Skid steer", "skid steer"),
        ("Mini excavators", "mini excavator"),
        ("Forklift", "forklift"),  # not a lift
        ("Scissor lift", "lift"),
        ("Flat trailer", "trailer"),
        ("Generator", "generator"),
        ("Quadrant", GENERAL),  # a word inside another is not meant
        ("Water pump", GENERAL),
    ],
)
def test_a_class_is_of_the_kind_that_its_name_speaks_of(name, kind):
    assert kind_of_class(name).kind == kind


def test_a_trailer_has_no_roll_over_frame_and_no_seat_belt():
    said = " ".join(point.words.lower() for point in kind_of_class("Trailer").points)
    assert "roll-over" not in said
    assert "belt" not in said
    assert "coupling" in said


@pytest.mark.parametrize("kind", kinds(), ids=lambda one: one.kind)
def test_each_point_stands_once_and_names_its_source(kind):
    assert len({point.words for point in kind.points}) == len(kind.points)
    assert all(point.source for point in kind.points)


@pytest.mark.parametrize("kind", kinds(), ids=lambda one: one.kind)
def test_brakes_guards_belts_roll_over_and_leaks_are_for_safety(kind):
    for point in kind.points:
        words = point.words.lower()
        if any(word in words for word in ("brake", "guard", "belt", "roll-over", "leak")):
            lamp = "brake and turn lights" in words
            assert point.safety or lamp, point.words


@pytest.mark.django_db
class TestPointsOfAClass:
    def test_a_class_without_points_is_looked_at_by_the_general_list(self):
        assert points_of(factories.MachineClass()) == list(general_points())

    def test_a_class_gets_the_list_of_its_kind_once_and_keeps_its_own(self):
        trailer = factories.MachineClass(name="Trailer")
        fill_walk_round(trailer)
        trailer.walk_round_points.exclude(key="chains").delete()
        WalkRoundPoint.objects.create(machine_class=trailer, words="Winch runs", position=99)
        fill_walk_round(trailer)
        assert [one.words for one in points_of(trailer)][1:] == ["Winch runs"]
