"""Bookings that stand when hires come in: each gets its own, of a customer found by name."""

from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from fleet.models import Booking, Customer, Hire
from tests import factories as make

give_hires = import_module("fleet.migrations.0015_give_bookings_their_hires").give_hires


@pytest.mark.django_db
def test_each_gets_a_hire_and_customers_are_few():
    names = ["Two Pines", "two  pines", "Zoë", "???"]
    bookings = [make.Booking(hire=None, customer=name) for name in names]
    give_hires(apps, SimpleNamespace(connection=connection))
    assert {row.hire_id for row in Booking.objects.all()} == {row.pk for row in bookings}
    assert Customer.objects.count() == 3
    assert Hire.objects.get(pk=bookings[1].pk).customer.name == "Two Pines"
    made = Hire.objects.create(customer=Customer.objects.first(), made_at=bookings[0].made_at)
    assert made.pk > max(row.pk for row in bookings)
