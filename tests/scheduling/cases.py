"""Small machines with a known past, for tests of what follows from facts."""

from datetime import timedelta

from scheduling.models import DuePoint
from tests import factories as make

NOW = make.NOON
TODAY = make.TODAY


def ago(days):
    """The moment so many days before the usual noon."""
    return NOW - timedelta(days=days)


def steady(machine, rate=4.0, start=100.0, days=60, every=5, **meter):
    """A meter read every few days that runs at one rate: 100 h sixty days ago, 340 h now."""
    fitted = make.Meter(machine=machine, **{"fitted_at": ago(400), "first_value": 0, **meter})
    for back in range(days, -1, -every):
        make.Reading(meter=fitted, read_at=ago(back), value=start + rate * (days - back))
    return fitted


def serviced(machine, service, days_ago, **fields):
    """A service done so many days ago."""
    return make.ServiceRecord(machine=machine, service=service, done_at=ago(days_ago), **fields)


def point(machine=None, **wanted):
    """The one due point that there is, of a machine."""
    rows = DuePoint.objects.filter(**wanted)
    return (rows if machine is None else rows.filter(machine=machine)).get()


def writes(queries):
    """The statements among captured queries that change rows."""
    changing = ("INSERT", "UPDATE", "DELETE")
    return [q["sql"] for q in queries if q["sql"].lstrip().upper().startswith(changing)]
