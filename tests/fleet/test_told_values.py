"""The change log is told as the yard writes: its money, its days and hours, its units."""

from datetime import date

import pytest
from django.apps import apps
from django.db import models

from fleet.models import Yard
from fleet.told_values import MONEY, VALUES_OF_MONEY, ReadAt, say_value

TODAY = date(2026, 3, 2)
READ = ReadAt(Yard(time_zone="America/Chicago", units="us"), TODAY)
METRIC = ReadAt(Yard(time_zone="Europe/Madrid", units="metric"), TODAY)


@pytest.mark.parametrize(
    ("kind", "field", "value", "said"),
    [
        ("booking", "value", "1234.00", "$1,234"),
        ("booking", "value", "220.50", "$220.50"),
        ("machine class", "price of an hour beyond", "12.00", "$12.00"),
        ("limit", "value", "12.00", "12.00"),
        ("booking", "last day", "2026-03-05", "Thu 5 Mar"),
        ("booking", "last day", "2027-03-05", "Fri 5 Mar 2027"),
        ("booking", "from time", "14:00:00", "14:00"),
        ("booking", "cancelled at", "2026-03-02 18:00+00:00", "Mon 2 Mar, 12:00"),
        ("hand over", "at", "2026-03-02 11:00", "Mon 2 Mar, 11:00"),
        ("booking", "use a day, in hours", "8", "8 h"),
        ("service", "minutes", "135", "2 h 15 min"),
        ("fluid", "capacity, mL", "3312.24", "3.5 qt"),
        ("interval", "every, on the meter", "8046.72 m", "5 mi"),
        ("interval", "every, on the meter", "250 h", "250 h"),
        ("machine", "tag", "2026-03-05", "2026-03-05"),
        ("booking", "customer", "2026-03-05", "2026-03-05"),
        ("booking", "last day", "2026-02-30", "2026-02-30"),
        ("shop", "shop hours Monday", "08:00:00, 17:00:00", "08:00, 17:00"),
        ("booking", "last day", "", ""),
    ],
)
def test_each_value_is_said(kind, field, value, said):
    assert say_value(value, kind, field, READ) == said


def test_another_yard_has_its_own_units_and_clock():
    assert say_value("8000 m", "interval", "every, on the meter", METRIC) == "8 km"
    assert say_value("3300", "fluid", "capacity, mL", METRIC) == "3.3 L"
    at = say_value("2026-03-02 18:00+00:00", "booking", "cancelled at", METRIC)
    assert at == "Mon 2 Mar, 19:00"


def test_each_price_that_is_kept_exactly_is_said_as_money():
    """A field with exact decimals holds money; a new one has to be named here."""
    kept = {
        (str(model._meta.verbose_name), str(field.verbose_name))
        for model in apps.get_app_config("fleet").get_models()
        for field in model._meta.fields
        if isinstance(field, models.DecimalField)
    }
    named = {one for one in kept if one[1] in MONEY or one[0] in VALUES_OF_MONEY}
    assert kept == named
