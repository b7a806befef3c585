import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Service
from scheduling.due.row_writing import BATCH, write_difference
from scheduling.models import DuePoint
from tests import factories as make
from tests.scheduling.cases import writes

pytestmark = pytest.mark.django_db
NAMES = (("machine_id", "service_id"), ("state", "why"))


@pytest.fixture
def machine():
    return make.Machine()


@pytest.fixture
def services():
    return [make.Service() for _ in range(3)]


def write(machine, wanted):
    return write_difference(DuePoint.objects.filter(machine=machine), NAMES, wanted)


def test_only_what_differs_is_written(machine, services):
    first, second, third = ((machine.pk, service.pk) for service in services)
    made = write(machine, {first: ("clear", "a"), second: ("clear", "b")})
    assert (made.created, made.updated, made.deleted) == (2, 0, 0)
    again = write(machine, {first: ("clear", "a"), second: ("due", "b"), third: ("clear", "c")})
    assert (again.created, again.updated, again.deleted) == (1, 1, 0)
    assert again.keys[first] == made.keys[first]
    last = write(machine, {third: ("clear", "c")})
    assert (last.created, last.updated, last.deleted) == (0, 0, 2)
    assert list(DuePoint.objects.values_list("service_id", "why")) == [(third[1], "c")]


def test_changed_row_keeps_its_key(machine, services):
    key = (machine.pk, services[0].pk)
    made, changed = write(machine, {key: ("clear", "")}), write(machine, {key: ("due", "")})
    assert made.keys == changed.keys == {key: DuePoint.objects.get().pk}


def test_nothing_to_write_is_one_query(machine, services):
    wanted = {(machine.pk, services[0].pk): ("clear", "")}
    write(machine, wanted)
    with CaptureQueriesContext(connection) as seen:
        write(machine, wanted)
    assert len(seen) == 1
    assert writes(seen.captured_queries) == []


def test_row_that_another_run_wrote_first_is_updated(machine, services, monkeypatch):
    """Both runs saw no row; the second finds the unique key taken and updates."""
    key = (machine.pk, services[0].pk)
    write(machine, {key: ("clear", "first")})
    none_seen = DuePoint.objects.none()
    second = write_difference(none_seen, NAMES, {key: ("due", "second")})
    assert second.keys[key] == DuePoint.objects.get().pk
    assert DuePoint.objects.get().why == "second"


def test_more_rows_than_a_statement_takes(machine):
    rows = [Service(code=f"s{n}", name=f"S{n}", minutes=5) for n in range(BATCH + 3)]
    made = Service.objects.bulk_create(rows)
    wanted = {(machine.pk, service.pk): ("clear", "") for service in made}
    assert write(machine, wanted).created == BATCH + 3
    assert write(machine, {}).deleted == BATCH + 3
