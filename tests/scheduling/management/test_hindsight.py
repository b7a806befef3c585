"""A past lived by command: printed, and kept for the page where that is asked for."""

import json
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command

from scheduling.models import Hindsight
from tests.factories import NOON
from tests.pages import at_noon  # noqa: F401  a fixture
from tests.scheduling.hindsight.past_case import FIRST, LAST, made_past

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]

NIGHTS = (LAST - FIRST).days + 1


@pytest.fixture
def shop(monkeypatch):
    monkeypatch.setattr("scheduling.core.replay.courses.quick_plan", lambda *_, **__: {})
    return made_past()


def lived(capsys, *more):
    call_command("hindsight", "--from", FIRST.isoformat(), "--seeds", "1", "--json", *more)
    return json.loads(capsys.readouterr().out)


def test_it_is_printed_and_kept_only_where_that_is_asked_for(shop, capsys):
    said = lived(capsys)
    assert said["nights"] == NIGHTS
    assert not Hindsight.objects.exists()
    going_on = Hindsight.objects.create(
        shop=shop, first_day=LAST, last_day=LAST, asked_at=NOON - timedelta(minutes=5)
    )
    assert lived(capsys, "--keep")["was"] == said["was"]
    row = Hindsight.objects.exclude(pk=going_on.pk).get()
    assert row.result["was"] == said["was"]
    assert (row.nights_lived, row.seeds, row.ended_at is not None) == (NIGHTS, 1, True)
    assert Hindsight.objects.filter(pk=going_on.pk, ended_at=None).exists()


def test_kept_again_it_takes_the_place_of_the_one_before(shop, capsys):
    for _ in range(2):
        lived(capsys, "--keep")
    assert Hindsight.objects.count() == 1


def test_too_short_a_past_is_refused_in_words(shop):
    with pytest.raises(CommandError, match="from 90 days on a past can be lived again"):
        call_command("hindsight", "--from", LAST.isoformat())
