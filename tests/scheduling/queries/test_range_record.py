"""How good the dates were, in words.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.charts import HeldShare
from scheduling.hindsight.level_adjusting import write_levels
from scheduling.models import NightlyRun
from scheduling.queries.range_record import RangeRecord, range_record
from scheduling.worker.night import run_night
from tests import factories as make
from tests.factories import NOON, TODAY
from tests.scheduling.hindsight.forecast_case import kept


def found(earlier=0, inside=0, later=0, **fields):
    share = HeldShare("all", earlier, inside, later, off=fields.pop("off", None),
                      simple_off=fields.pop("simple_off", None))  # fmt: skip
    usual = {"months": [], "classes": [], "forecasts": share.count, "width": None,
             "simple_width": None, "uncounted": 0, "waiting": 0, "adjusted": []}  # fmt: skip
    return RangeRecord(all=share, **{**usual, **fields})


@pytest.mark.parametrize(
    ("counts", "sentence"),
    [
        ((0, 0, 0), "No forecast is old enough to be judged yet."),
        ((1, 10, 1), "12 services so far; too few to judge."),
        ((0, 1, 0), "1 service so far; too few to judge."),
        ((10, 80, 10), "8 of 10 services fell inside their range: 80 of 100, 80 %."),
        ((100, 1216, 244), "8 of 10 services fell inside their range: 1,216 of 1,560, 78 %."),
        ((10, 75, 15), "Between 7 and 8 of 10 services fell inside their range: 75 of 100, 75 %."),
        ((0, 40, 0), "10 of 10 services fell inside their range: 40 of 40, 100 %."),
    ],
)
def test_one_sentence_says_how_good_they_are(counts, sentence):
    assert found(*counts).says == sentence


def test_days_off_stand_beside_the_simple_average():
    said = found(5, 40, 5, off=8.6, simple_off=12.2, width=31.4, simple_width=47.8)
    assert said.says_off == (
        "The middle date was off by 9 days on average; the machine's simple average would have "
        "been off by 12."
    )
    assert "31 days wide" in said.says_width
    assert "48 days" in said.says_width


def test_of_too_few_nothing_more_is_said():
    said = found(1, 10, 1, off=8.6, simple_off=12.2, width=31.0, simple_width=47.0)
    assert (said.says_off, said.says_width) == ("", "")


@pytest.mark.django_db
def test_the_page_reads_what_the_night_counted(django_assert_num_queries):
    machine = make.Machine()
    for number in range(40):
        kept(machine, make.Service(), **({"truth": 90, "outcome": "later"} if number < 6 else {}))
    run_night(machine.yard.shop, NOON)
    with django_assert_num_queries(2):
        said = range_record(machine.yard.shop, NOON)
    assert said.says == ("Between 8 and 9 of 10 services fell inside their range: 34 of 40, 85 %.")
    assert [share.name for share in said.months if share.count] == ["Oct 2025"]
    assert [share.name for share in said.classes] == [str(machine.makeup.machine_class)]


@pytest.mark.django_db
def test_without_a_night_there_is_nothing_to_say():
    assert range_record(make.Shop(), NOON).says.startswith("No forecast")


@pytest.mark.django_db
def test_a_night_of_an_earlier_version_is_no_trouble():
    shop = make.Shop()
    report = {"stages": {"refresh": {}}}
    NightlyRun.objects.create(shop=shop, day=TODAY, started_at=NOON, finished_at=NOON,
                              report=report)  # fmt: skip
    assert range_record(shop, NOON).all.count == 0


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("levels", "how"),
    [((0.06, 0.94), "wider"), ((0.14, 0.86), "narrower"), ((0.12, 0.95), "later"),
     ((0.1, 0.95), "later"), ((0.05, 0.9), "sooner")],
)  # fmt: skip
def test_moved_chances_are_said(levels, how):
    shop = make.Shop()
    write_levels(shop, "hours", TODAY, (levels, 300))
    (moved,) = range_record(shop, NOON).adjusted
    assert (moved.kind, moved.how) == ("Hour meter", how)
    assert range_record(shop, NOON - timedelta(days=1)).adjusted == []
