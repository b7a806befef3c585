"""What a plan's money pays for, in words."""

import pytest

from scheduling.wording.cost_sentences import amount


@pytest.mark.parametrize(
    ("value", "said"),
    [(0, "0.0"), (8.25, "8.2"), (99.94, "99.9"), (99.96, "100"), (2168.04, "2,168")],
)
def test_large_amounts_lose_their_tenths_and_gain_commas(value, said):
    assert amount(value) == said
