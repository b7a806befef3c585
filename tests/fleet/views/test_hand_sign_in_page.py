"""A ranch hand signs in by a code or a link, and is out once these are taken back."""

import re
from copy import copy

import pytest
from axes.models import AccessFailureLog
from django.test import Client
from django.urls import reverse

from fleet.models import HandKey, HandKeyUse, LoggedChange, Person, Role
from fleet.sign_in_waits import SLOWED_AFTER
from tests import factories
from tests.pages import answer, sign_in, words

pytestmark = pytest.mark.django_db
YEAR = 365 * 24 * 3600


@pytest.fixture
def hand():
    return factories.Person(username="pim", role=Role.HAND)


@pytest.fixture
def boss(client, hand):
    return sign_in(client, shop=hand.shop)


def make(client, hand, kind, form_key="k"):
    return client.post(reverse("hand-keys", args=[hand.pk]), {"kind": kind, "form_key": form_key})


def code_on(page):
    return re.search(r'<span class="number">([^<]+)<', page.text)[1]


def link_on(page):
    return re.search(r'id="new-link" value="https?://[^/]+([^"]+)"', page.text)[1]


def signed_in(phone):
    return phone.get(reverse("home")).url == reverse("meter-round")


def test_a_code_signs_in_however_it_is_typed_for_a_year(client, boss, hand):
    code = code_on(make(client, hand, "code"))
    phone = Client(headers={"User-Agent": "Old phone"})
    typed = code.lower().replace("-", " ")
    assert phone.post(reverse("hand-code"), {"password": typed}).status_code == 302
    assert signed_in(phone)
    assert phone.session.get_expiry_age() == YEAR
    use = HandKeyUse.objects.get()
    assert (use.key.person, use.browser) == (hand, "Old phone")
    assert "by the yard code" in words(client.get(reverse("hand-keys", args=[hand.pk])))


def test_only_a_digest_of_either_is_kept(client, boss, hand):
    code, link = code_on(make(client, hand, "code")), link_on(make(client, hand, "link", "k2"))
    kept = str(list(HandKey.objects.values())) + str(list(LoggedChange.objects.values()))
    assert code not in kept
    assert code.replace("-", "") not in kept
    assert link.strip("/").split("/")[-1] not in kept
    again = client.get(reverse("hand-keys", args=[hand.pk])).text
    assert code not in again
    assert link not in again


def test_a_link_that_is_only_opened_is_not_used_up_and_one_press_signs_in(client, boss, hand):
    link = link_on(make(client, hand, "link"))
    phone = Client()
    for _ in range(2):
        assert "One press" in answer(phone.get(link))
    assert not HandKeyUse.objects.exists()
    assert "sign-in" in phone.get(reverse("home")).url
    assert phone.post(link).status_code == 302
    assert signed_in(phone)
    assert HandKeyUse.objects.count() == 1


def test_taken_back_they_open_nothing_and_the_phone_is_out(client, boss, hand):
    link = link_on(make(client, hand, "link"))
    phone = Client()
    phone.post(link)
    client.post(reverse("hand-keys-back", args=[hand.pk]))
    assert "sign-in" in phone.get(reverse("meter-round")).url
    assert "opens nothing any more" in answer(phone.get(link))
    assert "opens nothing any more" in answer(phone.post(link))
    assert "Not at all yet" in answer(client.get(reverse("hand-keys", args=[hand.pk])))
    assert LoggedChange.objects.filter(subject_id=hand.pk).count() == 2


def test_a_new_code_ends_the_old_one_and_a_form_sent_twice_makes_one(client, boss, hand):
    old = code_on(make(client, hand, "code"))
    new = make(client, hand, "code", "k2")
    assert "new-link" not in make(client, hand, "code", "k2").text
    assert HandKey.objects.filter(revoked_at=None).count() == 1
    phone = Client()
    assert "No hand has this code" in words(phone.post(reverse("hand-code"), {"password": old}))
    phone.post(reverse("hand-code"), {"password": code_on(new)})
    assert signed_in(phone)


def test_wrong_codes_are_counted_by_their_address_and_kept_nowhere(client, boss, hand):
    code = code_on(make(client, hand, "code"))
    phone = Client()
    for _ in range(3):
        phone.post(reverse("hand-code"), {"password": "AAAA-AAAA"})
    assert AccessFailureLog.objects.count() == 3
    assert "AAAA" not in str(list(AccessFailureLog.objects.values()))
    more = AccessFailureLog(ip_address="127.0.0.1", path_info="/hand/")
    AccessFailureLog.objects.bulk_create([copy(more) for _ in range(SLOWED_AFTER + 10)])
    last = phone.post(reverse("hand-code"), {"password": code})
    assert last.status_code == 429
    assert "Too many wrong passwords or codes" in words(last)
    assert "sign-in" in phone.get(reverse("home")).url


def test_who_is_no_hand_gets_no_key_and_another_shops_hand_is_not_there(client, boss, hand):
    desk = factories.Person(role=Role.DESK, shop=boss.shop)
    make(client, desk, "link")
    assert not HandKey.objects.exists()
    other = factories.Person(role=Role.HAND)
    assert make(client, other, "link").status_code == 404


def test_a_hand_is_put_in_with_a_shop_and_no_password_and_led_to_the_keys(client, boss):
    typed = {"username": "lu", "role": "hand", "is_active": "on", "password": "tin-roof-rain"}
    forms = {f"{name}-{end}": 0 for name in ("qualifications", "absences")
             for end in ("TOTAL_FORMS", "INITIAL_FORMS")}  # fmt: skip
    said = words(client.post(reverse("set-up-people-new"), typed | forms))
    assert "signs in by a code or a link" in said
    typed |= {"password": "", "shop": boss.shop_id}
    kept = client.post(reverse("set-up-people-new"), typed | forms)
    lu = Person.objects.get(username="lu")
    assert kept.url == reverse("hand-keys", args=[lu.pk])


def test_who_becomes_something_else_is_signed_out(client, boss, hand):
    link = link_on(make(client, hand, "link"))
    phone = Client()
    phone.post(link)
    forms = {f"{name}-{end}": 0 for name in ("qualifications", "absences")
             for end in ("TOTAL_FORMS", "INITIAL_FORMS")}  # fmt: skip
    typed = {"username": "pim", "role": "mechanic", "is_active": "on", "shop": boss.shop_id}
    client.post(reverse("set-up-people-edit", args=[hand.pk]), typed | forms)
    assert "sign-in" in phone.get(reverse("meter-round")).url
    assert "opens nothing" in answer(phone.post(link))
