"""Own password, a link by letter or from the manager, and being signed out everywhere."""

import re
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import LoggedChange
from fleet.password_links import _tokens, link_for, person_of_link
from scheduling.models import LetterHours, Notice, OutboxEntry
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.pages import answer, sign_in, words

pytestmark = pytest.mark.django_db
OLD, NEW = "tin roof rain", "wide gate open 7"
TYPED = {"password": NEW, "again": NEW}


@pytest.fixture(autouse=True)
def _quick_hashes(settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def ana():
    person = factories.Person(role="desk", username="ana", email="ana@example.org")
    person.set_password(OLD)
    person.save()
    return person


def signed_in_too(person):
    """Return another device of theirs."""
    device = Client()
    device.force_login(person)
    return device


def is_in(device):
    return device.get(reverse("own-password")).status_code == 200


def test_a_new_password_of_ones_own_signs_out_every_other_device(client, ana):
    client.force_login(ana)
    phone = signed_in_too(ana)
    found = client.post(reverse("own-password"), {"old": OLD, **TYPED}, follow=True)
    assert "Your new password is kept." in words(found)
    ana.refresh_from_db()
    assert ana.check_password(NEW)
    assert is_in(client)
    assert not is_in(phone)
    assert LoggedChange.objects.get().values == [{"field": "password", "old": "", "new": "set"}]


@pytest.mark.parametrize(
    ("spoiled", "said"),
    [
        ({"old": "wrong"}, "This is not your password as it is now"),
        ({"again": "other"}, "The two passwords are not the same."),
        ({"password": "ana", "again": "ana"}, "too short"),
    ],
)
def test_a_new_password_is_refused_with_a_sentence(client, ana, spoiled, said):
    client.force_login(ana)
    assert said in words(client.post(reverse("own-password"), {"old": OLD, **TYPED, **spoiled}))
    ana.refresh_from_db()
    assert ana.check_password(OLD)


def test_guessing_the_old_password_waits_as_at_the_door(client, ana):
    client.force_login(ana)
    wrong = {"old": "wrong", **TYPED}
    found = [client.post(reverse("own-password"), wrong).status_code for _ in range(10)]
    assert found == [200] * 9 + [429]


def test_signed_out_everywhere_is_every_device_and_every_link(client, ana):
    client.force_login(ana)
    phone, token = signed_in_too(ana), _tokens.make_token(ana)
    assert client.post(reverse("sign-out-everywhere")).headers["Location"] == reverse("sign-in")
    assert not is_in(client)
    assert not is_in(phone)
    assert person_of_link(ana.pk, token) is None
    assert client.post(reverse("sign-in"), {"username": "ana", "password": OLD}).status_code == 302
    assert is_in(client)  # the password is as it was


def test_a_manager_gives_a_link_that_is_shown_once_and_works_once(client, ana):
    boss = sign_in(client, shop=ana.shop)
    phone = signed_in_too(ana)
    page = client.post(reverse("person-link", args=[ana.pk]))
    link = re.search(r'value="(http[^"]+)"', page.text)[1]
    assert "/password/new/" not in client.get(reverse("person-doors", args=[ana.pk])).text
    device, address = Client(), link.partition("8000")[2]
    assert answer(device.get(address)) == "Choose a new password for ana."
    ana.refresh_from_db()
    assert ana.check_password(OLD)  # opening it changes nothing
    found = device.post(address, TYPED)
    assert found.headers["Location"] == reverse("sign-in")
    ana.refresh_from_db()
    assert ana.check_password(NEW)
    assert not is_in(phone)
    for again in (device.get(address), device.post(address, TYPED)):
        assert again.status_code == 410
        assert answer(again).startswith("This link opens nothing any more")
    assert [row.by for row in LoggedChange.objects.order_by("pk")] == [boss, ana]
    assert link.rstrip("/").rpartition("/")[2] not in str(list(LoggedChange.objects.values()))


def test_a_link_is_over_after_a_day_after_signing_in_and_when_its_person_left(ana, monkeypatch):
    token = _tokens.make_token(ana)
    assert person_of_link(ana.pk, token) == ana
    assert person_of_link(ana.pk, token[:-1] + "x") is None
    assert person_of_link(ana.pk + 1, token) is None
    with monkeypatch.context() as later:
        now = _tokens._now()
        later.setattr(_tokens, "_now", lambda: now + timedelta(days=1, minutes=1))
        assert person_of_link(ana.pk, token) is None
    ana.last_login = timezone.now()
    ana.save()
    assert person_of_link(ana.pk, token) is None
    ana.is_active = False
    ana.save()
    assert person_of_link(ana.pk, _tokens.make_token(ana)) is None


def test_a_manager_signs_somebody_out_everywhere_and_only_their_own_people(client, ana):
    sign_in(client, shop=ana.shop)
    phone = signed_in_too(ana)
    client.post(reverse("person-sign-out", args=[ana.pk]))
    assert not is_in(phone)
    other = factories.Person(role="desk", shop=factories.Shop())
    owner = factories.Person(role="owner", shop=ana.shop)
    for person in (other, owner):
        for page in ("person-link", "person-sign-out"):
            assert client.post(reverse(page, args=[person.pk])).status_code == 404
        assert is_in(signed_in_too(person))


def test_a_hand_has_no_link_to_a_password(client):
    boss = sign_in(client)
    hand = factories.Person(role="hand", shop=boss.shop)
    page = client.post(reverse("person-link", args=[hand.pk]), follow=True)
    assert "does not sign in with a password" in words(page)


def test_the_letter_has_the_link_and_nothing_that_is_kept_has_it(
    client, ana, settings, monkeypatch
):
    # a link tells its second, and the letter's may be another than this test's
    now = _tokens._now()
    monkeypatch.setattr(_tokens, "_now", lambda: now)
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    LetterHours.objects.create(person=ana, quiet_from="00:00", quiet_to="23:59")
    page = client.post(reverse("password-forgotten"), {"username": "ana"})
    assert answer(page).startswith("If somebody signs in by that name")
    entry = OutboxEntry.objects.get(kind=OutboxEntry.Kind.SEND)
    perform_entry(entry.pk, timezone.now())
    sent = mail.outbox[0]
    link = re.search(r"http://\S+/password/new/\S+", sent.body)[0]
    assert link in sent.alternatives[0].content
    assert link == link_for(ana)
    notice = Notice.objects.get()
    assert notice.sent_at
    assert "/password/new/" not in notice.text + notice.html
    assert client.post(link.partition("8000")[2], TYPED).status_code == 302
    ana.refresh_from_db()
    assert ana.check_password(NEW)


def test_who_asks_again_and_again_sends_one_letter_and_learns_nothing(client, ana):
    said = {
        answer(client.post(reverse("password-forgotten"), {"username": name}))
        for name in ("ana", "ana", "nobody")
    }
    assert len(said) == 1
    assert Notice.objects.count() == 1
    found = [
        client.post(reverse("password-forgotten"), {"username": f"n{n}"}).status_code
        for n in range(40)
    ]
    assert 429 in found


def test_who_has_no_address_is_told_of_on_the_notices_page(client, ana):
    ana.email = ""
    ana.save()
    client.post(reverse("password-forgotten"), {"username": "ana"})
    assert "has no e-mail address" in Notice.objects.get().error
