"""Forms of changes to days and people: what is typed becomes a change, or gets a sentence."""

from datetime import timedelta

import pytest

from scheduling.forms.breakage_forms import BrokeDownForm
from scheduling.forms.day_change_forms import (
    AwayForm,
    ClosedForm,
    LentForm,
    OpenedForm,
    OvertimeForm,
)
from scheduling.forms.trial_forms import BROKEN, TRIED, filled_in, offered, only_own_absence
from scheduling.trial.changes import (
    WHAT,
    Away,
    DayClosed,
    DayOpened,
    HandLent,
    MoreOvertime,
)
from tests import factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db
DAY = TODAY + timedelta(days=2)
DAYS = {"first": TODAY.isoformat(), "last": DAY.isoformat()}


@pytest.fixture
def shop():
    return factories.Shop()


@pytest.fixture
def ada(shop):
    return factories.Mechanic(username="ada", first_name="Ada", last_name="Brook", shop=shop)


def fault(form, field):
    assert not form.is_valid()
    return form.errors[field][0]


def change(form):
    assert form.is_valid(), form.errors
    return form.change()


@pytest.mark.parametrize(
    ("kind", "given", "wanted"),
    [
        (ClosedForm, {"reason": "fair"}, DayClosed(DAY, "fair")),
        (OpenedForm, {"hours": "6.5"}, DayOpened(DAY, 6.5)),
        (OvertimeForm, {"hours": "2"}, MoreOvertime(DAY, 2.0)),
    ],
)
def test_a_day_typed_is_a_change(shop, kind, given, wanted):
    assert change(kind(shop, TODAY, {"day": DAY.isoformat()} | given)) == wanted


def test_somebody_away(shop, ada):
    form = AwayForm(shop, TODAY, {"person": "ada", "reason": "ill"} | DAYS)
    assert change(form) == Away(ada.pk, "Ada Brook", TODAY, DAY, "ill")


@pytest.mark.parametrize(
    ("given", "field", "sentence"),
    [
        ({"person": "cy"}, "person", "Nobody of that name"),
        ({"person": ""}, "person", "Say who"),
        ({"last": "2026-03-01"}, "last", "before the first"),
        ({"first": "2026-02-01", "last": "2026-02-02"}, "last", "gone by"),
        ({"last": "2027-06-01"}, "last", "more than a year"),
        ({"first": "now"}, "first", "not a day of the calendar"),
        ({"reason": "x" * 101}, "reason", "at most 100"),
    ],
)
def test_a_bad_absence_gets_a_sentence(shop, ada, given, field, sentence):
    factories.Mechanic(username="cy")  # of another shop
    assert sentence in fault(AwayForm(shop, TODAY, {"person": "ada"} | DAYS | given), field)


def test_an_absence_that_began_may_go_on(shop, ada):
    given = {"person": "ada", "first": "2026-02-20", "last": DAY.isoformat()}
    assert change(AwayForm(shop, TODAY, given)).last == DAY


def test_a_hand_from_outside_and_one_of_our_own(shop, ada):
    cy = factories.Mechanic(username="cy", first_name="Cy")
    outside = {"name": " Sam ", "skills": ["general"], "hours": "7.5"} | DAYS
    own = {"person": "cy", "hours": "8"} | DAYS
    sam = HandLent("Sam", 7.5, ("general",), TODAY, DAY)
    assert change(LentForm(shop, TODAY, outside)) == sam
    lent = HandLent("Cy", 8.0, ("general",), TODAY, DAY, cy.pk, "cy")
    assert change(LentForm(shop, TODAY, own)) == lent


@pytest.mark.parametrize(
    ("given", "field", "sentence"),
    [
        ({}, "name", "Name them, or choose"),
        ({"name": "Sam", "person": "cy"}, "name", "not both"),
        ({"person": "ada"}, "person", "Nobody of that name"),
        ({"name": "Sam", "skills": ["magic"]}, "skills", "no skill “magic”"),
        ({"name": "Sam", "hours": "25"}, "hours", "from 0.25 to 24"),
        ({"name": "Sam", "hours": "nan"}, "hours", "in digits"),
        ({"name": "Sam", "hours": ""}, "hours", "Say how many hours"),
    ],
)
def test_a_bad_loan_gets_a_sentence(shop, ada, given, field, sentence):
    factories.Mechanic(username="cy")
    form = LentForm(shop, TODAY, {"hours": "8"} | DAYS | given)
    assert sentence in fault(form, field)


def test_every_change_has_a_form_under_its_word():
    kinds = {kind.what for kind in (*TRIED, *BROKEN, BrokeDownForm)}
    assert kinds == set(WHAT)


def test_the_form_that_was_sent_stands_among_the_empty_ones(shop):
    sent = filled_in(TRIED, "closed", shop, TODAY, {"day": "x"})
    shown = offered(TRIED, shop, TODAY, sent)
    assert [form.is_bound for form in shown].count(True) == 1
    assert sent in shown
    assert filled_in(TRIED, "gone", shop, TODAY, {}) is None


def test_a_mechanic_says_of_themselves_alone_that_they_are_away(shop, ada):
    factories.Mechanic(username="bo", shop=shop)
    form = AwayForm(shop, TODAY, {"person": "bo"} | DAYS)
    only_own_absence(form, ada)
    assert "yourself alone" in fault(form, "person")
