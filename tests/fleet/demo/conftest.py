"""The demo fleet, loaded once for all tests of a module and rolled back after them."""

from datetime import date

import pytest
from django.db import transaction

from fleet.demo.load_fleet import Wanted, load

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        load(Wanted(TODAY))
        yield TODAY
        transaction.set_rollback(True)
