"""One's letters, a test letter, and the two acts that a letter links to."""

import pytest
from django.core import mail

from fleet.models import LoggedChange, Role
from scheduling.models import LetterChoice, LetterHours, Notice
from scheduling.notices.message import message
from scheduling.notices.signed_links import answer_url, stop_url
from tests import consequences, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    person = factories.Person(username="dale", role=Role.DESK)
    client.force_login(person)
    return person


def path_of(url):
    return url.partition("//")[2].partition("/")[2].join(("/", ""))


def typed(**more):
    return {"morning_at": "06:30", "released": "once", "free": "not", "reading": "morning"} | more


def test_a_choice_is_kept_and_logged(client, desk):
    other = factories.Person(username="olga", shop=desk.shop)
    sent = client.post("/letters/", typed(held_to=other.pk, quiet_from="21:00", quiet_to="05:00"))
    assert sent.status_code == 302, sent.context["form"].errors
    how = dict(LetterChoice.objects.values_list("kind", "how"))
    assert (how["free"], how["reading"], how["held"]) == ("not", "morning", "once")
    assert LetterChoice.objects.get(kind="held").instead == other
    assert str(LetterHours.objects.get().quiet_to) == "05:00:00"
    assert LoggedChange.objects.get().act == "letters chosen"
    page = client.get("/letters/").content.decode()
    assert "They go to dale@example.org." in page


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"quiet_from": "21:00"}, "both ends of the quiet hours"),
        ({"morning_at": "late"}, "valid time"),
        ({"held_to": "12345"}, "valid choice"),
    ],
)
def test_what_cannot_be_is_said(client, desk, more, said):
    answer = client.post("/letters/", typed(**more))
    assert (answer.status_code, said in answer.text) == (200, True)
    assert not LetterChoice.objects.exists()


def test_letters_on_safety_offer_no_switch(client, desk):
    page = client.get("/letters/").text
    assert 'name="held_to"' in page
    assert 'name="held"' not in page
    client.post("/letters/", typed(held="not"))
    assert LetterChoice.objects.get(kind="held").how == "once"


def test_a_test_letter_goes_to_ones_own_address(client, desk):
    client.post("/letters/test/")
    assert [each.to for each in mail.outbox] == [["dale@example.org"]]
    assert "sent to nobody" in client.get("/letters/").text  # the tests have no mail server


@pytest.fixture
def warning(desk):
    return consequences.Notice(kind="risk", person=desk, block_kind="overdue")


def test_the_link_of_a_warning_acts_on_a_press_alone_and_without_signing_in(client, warning):
    client.logout()
    address = path_of(answer_url(warning))
    assert "Is it in hand?" in client.get(address).text
    warning.refresh_from_db()
    assert warning.answered_at is None
    assert "Thank you" in client.post(address).text
    warning.refresh_from_db()
    assert warning.answered_at is not None


def test_a_forged_address_or_one_of_another_purpose_opens_nothing(client, warning):
    client.logout()
    for address in (
        path_of(answer_url(warning))[:-2] + "x/",
        path_of(answer_url(warning)).replace("in-hand", "stop"),
        path_of(stop_url(warning)).replace("stop", "in-hand"),
    ):
        assert client.post(address).status_code == 404
    warning.refresh_from_db()
    assert warning.answered_at is None


def test_one_click_ends_a_kind_without_cookie_or_form_key(client, desk):
    """RFC 8058 section 3.2: a POST of `List-Unsubscribe=One-Click` from the mail program."""
    client.logout()
    client.handler.enforce_csrf_checks = True
    notice = consequences.Notice(kind="parts", person=desk)
    address = path_of(stop_url(notice))
    assert "Shall dale get no more" in client.get(address).text
    assert not LetterChoice.objects.exists()
    for _ in range(2):
        answer = client.post(address, {"List-Unsubscribe": "One-Click"})
        assert answer.status_code == 200
    assert LetterChoice.objects.get().how == "not"
    assert LoggedChange.objects.count() == 1


def test_a_letter_on_safety_is_not_ended_by_its_link(client, warning):
    address = path_of(stop_url(warning))
    assert "for safety and cannot be switched off" in client.post(address).text
    assert not LetterChoice.objects.exists()


@pytest.mark.parametrize(
    ("kind", "base", "one_click"),
    [("parts", "https://fleet.example.org", True), ("parts", "http://127.0.0.1:8000", False)],
)
def test_a_letter_says_how_to_end_its_kind(desk, settings, kind, base, one_click):
    settings.BASE_URL = base
    sent = message(consequences.Notice(kind=kind, person=desk)).message()
    assert sent["List-Unsubscribe"].startswith(f"<{base}/letters/stop/")
    assert (sent["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click") == one_click


def test_one_on_safety_says_how_to_answer_and_not_how_to_end_it(warning):
    warning.text, warning.html = "text\n\n--\nfoot\n", "<body><p>text</p></body>"
    sent = message(warning)
    assert "List-Unsubscribe" not in sent.extra_headers
    assert "/letters/in-hand/" in sent.body.partition("\n--\n")[0]
    assert "/letters/in-hand/" in sent.alternatives[0].content


def test_the_mechanics_list_brings_the_day_as_a_calendar_entry(db):
    job = consequences.PlannedJob()
    consequences.PlannedWork(job=job)
    notice = consequences.Notice(kind="list", person=job.mechanic, shop=job.plan.shop, day=job.day)
    parts = list(message(notice).message().walk())
    (calendar,) = [part for part in parts if part.get_content_type() == "text/calendar"]
    said = calendar.get_payload(decode=True).decode()
    assert "BEGIN:VEVENT" in said
    assert f"DTSTART;VALUE=DATE:{job.day:%Y%m%d}" in said
    kinds = [part.get_content_type() for part in parts if not part.is_multipart()]
    assert kinds[:2] == ["text/plain", "text/html"]
    assert not Notice.objects.exclude(pk=notice.pk).exists()
