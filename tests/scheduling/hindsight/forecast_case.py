"""A small fleet with a known past, for tests of what was said and what came true."""

from datetime import UTC, date, datetime, timedelta

from scheduling.models import KeptForecast
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, steady


def fleet(shop, machines=3, days=560, every=7, interval=100.0):
    """Machines of one make-up that run 1, 2, 3 ... h a day, serviced every so many hours."""
    makeup = make.MakeUp()
    rule = make.Interval(makeup=makeup, every=interval)
    found = []
    for number in range(machines):
        machine = make.Machine(yard__shop=shop, makeup=makeup, started_on=date(2024, 6, 1))
        steady(machine, rate=1.0 + number, start=0.0, days=days, every=every,
               fitted_at=datetime(2024, 6, 1, tzinfo=UTC))  # fmt: skip
        found.append(machine)
    return found, rule.service


def kept(machine, service, days_ago=130, **fields):
    """A forecast kept so many days ago; settled inside its range on the middle day unless said."""
    made = fields.pop("made_on", TODAY - timedelta(days=days_ago))
    usual = {"p10": 20, "p50": 30, "p90": 45, "simple": 36, "truth": 30,
             "outcome": KeptForecast.Outcome.INSIDE, "settled_on": made + timedelta(days=31),
             "due_life": 1e6, "life_then": 0.0, "kind": "hours"}  # fmt: skip
    return KeptForecast.objects.create(
        machine=machine, service=service, machine_class=machine.makeup.machine_class,
        made_on=made, **{**usual, **fields},
    )  # fmt: skip


OPEN = {"truth": None, "outcome": "", "settled_on": None}
"""Fields of a forecast that is not settled."""

__all__ = ["NOW", "OPEN", "TODAY", "fleet", "kept"]
