"""A shop with one machine, booked from Thursday 5 to Sunday 8 March, and its three people."""

import pytest

from fleet.models import Role
from tests import factories
from tests.services.sink import Sink


@pytest.fixture
def shop(db):
    return factories.Shop(name="Cold Fork")


@pytest.fixture
def machine(shop):
    return factories.Machine(tag="SL-04", yard__shop=shop, yard__name="North yard")


@pytest.fixture
def booking(machine):
    return factories.Booking(machine=machine)


@pytest.fixture
def manager(shop):
    return factories.Person(username="mara", shop=shop)


@pytest.fixture
def desk(shop):
    return factories.Person(username="dale", shop=shop, role=Role.DESK)


@pytest.fixture
def mechanic(shop):
    return factories.Mechanic(username="wren", shop=shop)


@pytest.fixture
def sink():
    """A mail server that listens."""
    with Sink().listening() as sink:
        yield sink


@pytest.fixture
def smtp(settings):
    """Let the site hand its mail to a server of the tests: smtp(sink)."""

    def use(sink):
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", sink.port
        settings.EMAIL_TIMEOUT = 5

    return use
