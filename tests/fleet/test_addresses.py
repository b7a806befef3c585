"""Addresses that are filled in are those that `reverse` would have given."""

import pytest
from django.urls import reverse

from fleet.addresses import reversing


@pytest.mark.parametrize("tag", ["Q-1", "TR 2", "Añil", "50%", "a?b#c", "x;y", '"', "a/b", "a:b@c"])
def test_a_word_is_quoted_as_in_every_address(tag):
    assert reversing("machine")(tag) == reverse("machine", args=[tag])


def test_a_number_names_a_booking():
    assert reversing("booking")(17) == reverse("booking", args=[17])
