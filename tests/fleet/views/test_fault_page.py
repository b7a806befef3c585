"""A full disk and a database that is away are said in a sentence, whoever came upon them."""

import errno

import pytest
from django.db import IntegrityError, OperationalError

from fleet.models import Person, Shop
from fleet.views.fault_page import is_no_room
from tests import factories


@pytest.mark.parametrize(
    ("error", "full"),
    [
        (OperationalError("database or disk is full"), True),
        (OperationalError('could not extend file "base/1": No space left on device'), True),
        (OSError(errno.ENOSPC, "No space left on device"), True),
        (OSError(errno.EACCES, "Permission denied"), False),
        (OperationalError("database is locked"), False),
        (IntegrityError("UNIQUE constraint failed"), False),
        (ValueError("the disk is full, somebody wrote"), False),
        (None, False),
    ],
)
def test_it_is_told_from_other_faults(error, full):
    assert is_no_room(error) == full


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("error", "status", "said"),
    [
        (OperationalError("database or disk is full"), 503, "nothing of what you just sent was"),
        (OperationalError("connection failed: Connection refused"), 503, "Try again in a minute"),
        (OperationalError("the database system is starting up"), 503, "Try again in a minute"),
        (RuntimeError("another fault"), 500, "Something broke"),
        (ValueError("connection refused, somebody wrote"), 500, "Something broke"),
        (OperationalError("database is locked"), 500, "Something broke"),
    ],
)
def test_a_page_that_cannot_write_says_why(client, monkeypatch, error, status, said):
    client.raise_request_exception = False
    person = factories.Person()
    client.force_login(person)

    def fail(*_, **__):
        raise error

    monkeypatch.setattr("scheduling.views.nights_page.ask_night", fail)
    answer = client.post(f"/nights/{person.shop.pk}/run/")
    assert (answer.status_code, said in answer.content.decode()) == (status, True)
    assert client.get("/nights/").status_code == 200


@pytest.mark.django_db
def test_a_fault_after_the_page_is_told_too(client, monkeypatch):
    """The session is stored when the page is done: signing in on a full disk."""
    client.raise_request_exception = False
    Person.objects.create_user("mara", password="tin-roof-rain", shop=Shop.objects.create(name="A"))

    def fail(*_, **__):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.save", fail)
    answer = client.post("/sign-in/", {"username": "mara", "password": "tin-roof-rain"})
    assert (answer.status_code, "The disk of the site is full" in answer.text) == (503, True)
