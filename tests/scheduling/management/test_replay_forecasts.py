from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from scheduling.models import KeptForecast
from tests import factories as make

pytestmark = pytest.mark.django_db


def run(**options):
    out = StringIO()
    call_command("backtest_forecasts", stdout=out, **options)
    return out.getvalue()


def test_an_empty_database_is_told_so():
    assert "no shop yet" in run()


def test_it_says_what_it_kept():
    machine = make.Machine(yard__shop__name="Cold Fork")
    make.Interval(makeup=machine.makeup, every=2000.0)
    meter = make.Meter(machine=machine)
    now = timezone.now()
    for back in range(300, 0, -7):
        read_at = now - timedelta(days=back)
        make.Reading(meter=meter, read_at=read_at, value=1300 + 2.0 * (300 - back))
    said = run(first=(now - timedelta(days=60)).date().isoformat(), every=10)
    assert said.startswith(f"Cold Fork: {KeptForecast.objects.count()} forecasts kept")
    assert KeptForecast.objects.exists()


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"first": "3.2.26"}, "not a day"),
        ({"first": "2990-01-01"}, "not in the past"),
        ({"every": 0}, "1 up"),
    ],
)
def test_bad_options_are_refused_with_a_sentence(options, words):
    make.Shop()
    with pytest.raises(CommandError, match=words) as refused:
        run(**options)
    assert refused.value.returncode == 2
