"""Filters over the plain functions: markup, empty values, the yard's units and time."""

from datetime import UTC, date, datetime

import pytest
from django.template import Context, Template

from fleet.models import Yard

TODAY = date(2026, 11, 25)


def shown(source, **values):
    return Template(source).render(Context({"today": TODAY, **values}))


def test_a_said_date_has_the_exact_date_at_hand():
    html = shown("{{ day|said_date:today }}", day=date(2026, 12, 3))
    assert 'datetime="2026-12-03"' in html
    assert 'title="3 December 2026"' in html
    assert "Thu 3 Dec, in 8 days" in html


@pytest.mark.parametrize(
    "source",
    [
        "{{ v|said_date:today }}",
        "{{ v|short_date:today }}",
        "{{ v|distance:today }}",
        "{% moment v yard today %}",
        '{% use v "hours" "us" %}',
        '{{ v|volume:"us" }}',
        "{{ v|minutes }}",
        "{{ v|money }}",
        "{{ v|percent }}",
    ],
)
def test_what_is_not_known_is_shown_as_nothing(source):
    assert shown(source, v=None, yard=Yard()) == ""


def test_a_moment_is_shown_in_the_yards_time():
    yard = Yard(time_zone="America/Denver")
    html = shown("{% moment at yard today %}", yard=yard, at=datetime(2026, 11, 25, 15, tzinfo=UTC))
    assert "Wed 25 Nov, 08:00" in html


def test_quantities_are_shown_in_the_yards_units():
    assert shown('{% use 1609.344 "distance" "us" %}') == "1 mi"
    assert shown('{% use 1609.344 "distance" "metric" %}') == "2 km"
    assert shown('{{ 3312.235|volume:"us" }}') == "3.5 qt"


def test_money_stands_behind_the_sites_sign(settings):
    settings.CURRENCY = "€"
    assert shown("{{ 12|money }}") == "€12.00"


def test_percent_takes_decimals():
    assert shown("{{ 0.0314|percent:1 }}") == "3.1 %"


def test_a_number_is_tied_to_its_unit():
    assert shown("{{ words|unbroken }}", words="23 h left") == "23\u00a0h left"
