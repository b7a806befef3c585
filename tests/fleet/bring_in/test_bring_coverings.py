"""What a service counts as comes in beside its interval, and is let go with its import."""

import pytest

from fleet.bring_in.import_acts import bring_at_once
from fleet.bring_in.import_undo import undo_import
from fleet.models import Covering, Interval, Machine
from tests.fleet.bring_in.test_import_acts import NOW
from tests.fleet.bring_in.workbooks import workbook

HEAD = "Make-up,Service,Every,Covers\n"


@pytest.fixture(autouse=True)
def fleet(db):
    bring_at_once(workbook(), "fleet.xlsx", make_missing=True, by=None, now=NOW)


def bring(*rows, head=HEAD):
    text = head + "".join(f"{row}\n" for row in rows)
    done, looked = bring_at_once(text.encode(), "more.csv", make_missing=True, by=None, now=NOW)
    return done, looked.sheets[0]


def pairs():
    return {(row.service.name, row.covered.name) for row in Covering.objects.all()}


def test_several_services_of_one_cell_are_covered():
    bring("Tarnbeck T20,Yearly look,12 months,Oil change; Grease")
    assert pairs() == {("Yearly look", "Oil change"), ("Yearly look", "Grease")}
    assert {row.makeup.model for row in Covering.objects.all()} == {"T20"}


def test_a_service_whose_interval_is_there_gains_what_it_covers_and_once():
    first = bring('Tarnbeck T20,Oil change,"100 h or 12 months",Grease')[1]
    again = bring('Tarnbeck T20,Oil change,"100 h or 12 months",Grease')[1]
    assert (first.added, again.added, again.same) == (1, 0, 1)
    assert pairs() == {("Oil change", "Grease")}
    assert Interval.objects.filter(service__name="Oil change").count() == 1


@pytest.mark.parametrize(
    ("row", "said"),
    [("Tarnbeck T20,Grease,50 h,Grease", "cannot cover itself"),
     ("Tarnbeck T20,Grease,50 h,Oil change", "covers Grease already")],
)  # fmt: skip
def test_a_circle_is_refused_and_nothing_of_the_row_comes(row, said):
    bring('Tarnbeck T20,Oil change,"100 h or 12 months",Grease')
    report = bring(row)[1]
    assert report.refused == 1
    assert said in report.refusals[0].reason
    assert pairs() == {("Oil change", "Grease")}


def test_of_one_machine_it_is_refused():
    tag = Machine.objects.first().tag
    report = bring(f"{tag},Yearly look,12 months,Grease", head="Tag,Service,Every,Covers\n")[1]
    assert report.refused == 1
    assert "of a make-up, not of one machine" in report.refusals[0].reason


def test_undone_with_its_import():
    done, _ = bring("Tarnbeck T20,Yearly look,12 months,Oil change")
    undo_import(done, by=None, now=NOW)
    assert pairs() == set()
