"""What services covered everywhere, put down make-up by make-up; the old table is handed in."""

from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from fleet.models import Covering
from tests import factories as make

pytestmark = pytest.mark.django_db

fill = import_module("fleet.migrations.0020_fill_coverings").fill


class OldApps:
    """The models of today, but for the pairs that stood at the services themselves."""

    def __init__(self, pairs):
        rows = SimpleNamespace(using=lambda _: rows, values_list=lambda *_: pairs)
        self.service = SimpleNamespace(
            covers=SimpleNamespace(through=SimpleNamespace(objects=rows))
        )

    def get_model(self, app, name):
        return self.service if name == "Service" else apps.get_model(app, name)


def filled(*pairs):
    editor = SimpleNamespace(connection=connection)
    fill(OldApps([(upper.pk, lower.pk) for upper, lower in pairs]), editor)
    return set(Covering.objects.values_list("makeup", "service", "covered"))


def test_a_make_up_that_has_both_gets_it_and_no_other():
    oil, grease = make.Service(), make.Service()
    both, one = make.MakeUp(), make.MakeUp()
    make.Interval(makeup=both, service=oil)
    make.Interval(makeup=both, service=grease)
    make.Interval(makeup=one, service=oil)
    assert filled((oil, grease)) == {(both.pk, oil.pk, grease.pk)}


def test_what_was_followed_through_stands_by_itself_where_the_one_between_is_lacking():
    big, middle, small = (make.Service() for _ in range(3))
    makeup = make.MakeUp()
    for service in (big, small):
        make.Interval(makeup=makeup, service=service)
    assert filled((big, middle), (middle, small)) == {(makeup.pk, big.pk, small.pk)}


def test_an_interval_of_one_machine_counts_for_its_make_up():
    oil, grease = make.Service(), make.Service()
    machine = make.Machine()
    make.Interval(makeup=machine.makeup, service=oil)
    make.Interval(makeup=None, machine=machine, service=grease)
    assert filled((oil, grease)) == {(machine.makeup_id, oil.pk, grease.pk)}


def test_what_findings_alone_call_for_comes_up_anywhere():
    """Renewing the brakes recurs nowhere and still does what the look at them does."""
    renew, look = make.Service(), make.Service()
    makeup = make.Interval(service=look).makeup
    machine = make.Machine(makeup=makeup)
    make.Finding(machine=machine, calls_for=renew)
    assert filled((renew, look)) == {(makeup.pk, renew.pk, look.pk)}


def test_queries_do_not_grow_with_the_fleet(django_assert_max_num_queries):
    oil, grease = make.Service(), make.Service()
    for makeup in (make.MakeUp() for _ in range(12)):
        make.Interval(makeup=makeup, service=oil)
        make.Interval(makeup=makeup, service=grease)
    with django_assert_max_num_queries(7):
        assert len(filled((oil, grease))) == 12
