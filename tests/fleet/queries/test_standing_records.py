"""Which entries of the service book stand."""

import pytest

from fleet.models import ServiceRecord
from fleet.queries.standing_records import standing_records
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_an_entry_that_was_put_right_stands_no_more_and_the_right_one_does():
    wrong, other = factories.ServiceRecord(), factories.ServiceRecord()
    right = factories.ServiceRecord(machine=wrong.machine, corrects=wrong)
    assert set(standing_records()) == {right, other}


def test_a_struck_entry_and_its_striking_do_not_stand():
    wrong = factories.ServiceRecord()
    ServiceRecord.objects.create(
        machine=wrong.machine, corrects=wrong, void=True, done_at=NOON, entered_at=NOON
    )
    assert not standing_records().exists()
