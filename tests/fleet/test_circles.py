"""Circles in what is done after what."""

import pytest

from fleet.circles import circle


@pytest.mark.parametrize(
    ("follows", "way"),
    [
        ({}, []),
        ({1: {2}, 2: {3}}, []),
        ({1: {1}}, [1, 1]),
        ({1: {2}, 2: {1}}, [1, 2, 1]),
        ({1: {2, 4}, 2: {3}, 3: {1}, 4: {1}}, [1, 4, 1]),  # the shortest way back
        ({1: {2}, 2: {3}, 3: {2}}, []),  # a circle that leads past it
    ],
)
def test_the_way_from_a_service_back_to_itself(follows, way):
    assert circle(follows, 1) == way
