import pytest
from django.core.exceptions import ValidationError

from fleet.models import SeasonWeight
from tests import factories as make


def season(**fields):
    usual = {"reason": "haying", "weight": 2.0, "first_month": 6, "first_day": 12,
             "last_month": 8, "last_day": 28}  # fmt: skip
    return SeasonWeight(**{**usual, **fields})


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"weight": 0},
        {"weight": 5},
        {"first_month": 12, "first_day": 20, "last_month": 1, "last_day": 6},
        {"last_month": 2, "last_day": 29},
    ],
)
def test_what_an_owner_may_state(fields):
    season(**fields).full_clean()


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"weight": 5.1}, "weight"),
        ({"weight": -1}, "weight"),
        ({"weight": float("nan")}, "weight"),
        ({"first_month": 13}, "first_month"),
        ({"first_month": 0}, "first_month"),
        ({"first_day": 32}, "first_day"),
        ({"last_month": 2, "last_day": 30}, "last_day"),  # a day that no year has
        ({"first_month": 4, "first_day": 31}, "first_day"),
        ({"reason": ""}, "reason"),
    ],
)
def test_what_cannot_be_meant_is_refused_beside_its_field(fields, fault):
    with pytest.raises(ValidationError) as refused:
        season(**fields).full_clean()
    assert fault in refused.value.message_dict


def test_the_sentence_names_the_month():
    with pytest.raises(ValidationError, match="February has no day 30; it ends on the 29th"):
        season(last_month=2, last_day=30).full_clean()


def test_it_is_named_by_its_reason():
    assert str(make.SeasonWeight.build(weight=2.5)) == "haying: 2.5 times the usual"
