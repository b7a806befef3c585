"""Whose address a request has, with none, one or two proxies before the site."""

import pytest

from fleet.client_address import address_of


@pytest.mark.parametrize(
    ("forwarded", "asked_by", "hops", "found"),
    [
        ("", "192.0.2.7", 0, "192.0.2.7"),
        ("203.0.113.9", "192.0.2.7", 0, "192.0.2.7"),  # nobody is there who could have added it
        ("203.0.113.9", "10.0.0.1", 1, "203.0.113.9"),
        ("1.2.3.4, 203.0.113.9", "10.0.0.1", 1, "203.0.113.9"),  # the left one is invented
        ("1.2.3.4, 203.0.113.9, 10.0.0.2", "10.0.0.1", 2, "203.0.113.9"),
        ("203.0.113.9", "10.0.0.1", 2, "203.0.113.9"),  # fewer than were to come: the leftmost
        ("", "10.0.0.1", 1, "10.0.0.1"),
        ("203.0.113.9:5123", "", 1, "203.0.113.9"),
        ("[2001:db8:1:2:3::9]:443", "10.0.0.1", 1, "2001:db8:1:2::"),
        ("2001:db8:1:2:ffff::1", "10.0.0.1", 1, "2001:db8:1:2::"),  # one site, one address
        ("::ffff:203.0.113.9", "10.0.0.1", 1, "203.0.113.9"),
        ("not an address\x00", "10.0.0.1", 1, None),
        ("", "", 0, None),
    ],
)
def test_as_many_entries_are_believed_as_there_are_proxies(forwarded, asked_by, hops, found):
    assert address_of(forwarded, asked_by, hops) == found
