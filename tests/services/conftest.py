"""A mail server of the tests and the site's settings that lead to it."""

import pytest

from tests.services.sink import Sink


@pytest.fixture
def sink():
    """A mail server that listens."""
    with Sink().listening() as sink:
        yield sink


@pytest.fixture
def smtp(settings):
    """Let the site hand its mail to a server of the tests: smtp(sink)."""

    def use(sink: Sink) -> None:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", sink.port
        settings.EMAIL_TIMEOUT = 5

    return use
