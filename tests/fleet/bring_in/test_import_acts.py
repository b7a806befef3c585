"""A workbook of every kind on an empty site: in, twice, and undone."""

from datetime import UTC, date, datetime

import pytest

from fleet.actions import take_rows
from fleet.bring_in import import_acts
from fleet.bring_in.import_acts import bring_at_once, look_at
from fleet.changed_facts import facts_changed
from fleet.models import (
    Booking,
    FormerTag,
    Import,
    ImportRefusal,
    Interval,
    Machine,
    MakeUp,
    Meter,
    Part,
    Person,
    Reading,
    ReadingToMend,
    RecordedMeter,
    Service,
    ServiceRecord,
    StockMovement,
    ToComplete,
    Yard,
)
from fleet.quantities import MILE
from tests import factories
from tests.fleet.bring_in.workbooks import ALL, row_counts, workbook

NOW = datetime(2026, 11, 20, 12, tzinfo=UTC)

ADDED = {
    "Models": 1, "Fleet": 3, "Service history": 3, "Intervals": 2, "Stock": 2, "Team": 2,
    "Rentals": 2, "Readings": 9,
}  # fmt: skip


@pytest.fixture
def came(db):
    return bring_at_once(workbook(), "fleet.xlsx", make_missing=True, by=None, now=NOW)


def counts(looked, what):
    return {report.name: getattr(report, what) for report in looked.sheets}


def test_each_kind_comes_in_on_an_empty_site(came):
    _, looked = came
    assert [report.kind.value for report in looked.sheets] == [
        "make_ups", "machines", "services", "intervals", "parts", "people", "bookings", "readings"
    ]  # fmt: skip
    assert counts(looked, "added") == ADDED
    assert sum(counts(looked, "refused").values()) == 0
    assert counts(looked, "skipped")["Fleet"] == 1  # "Quads", a heading over rows
    assert counts(looked, "skipped")["Readings"] == 1  # the sum
    for report in looked.sheets:
        parts = report.added + report.same + report.refused + report.skipped
        assert report.rows == parts


def test_machines_with_identity_home_and_meters(came):
    machine = Machine.objects.get(tag="MX-02")
    assert (machine.serial, machine.plate, machine.year) == ("TB 000-001", "AB 12", 2021)
    assert machine.started_on == date(2021, 3, 25)
    assert (machine.yard.name, str(machine.makeup)) == ("North", "Tarnbeck T20")
    shown = dict(Meter.objects.filter(machine=machine).values_list("kind", "first_value"))
    assert shown == {"hours": 12.5, "distance": pytest.approx(1204 * MILE)}
    assert Yard.objects.count() == 2  # "north" is North


def test_past_services_with_their_meter_are_readings_too(came):
    records = ServiceRecord.objects.filter(machine__tag="MX-02").order_by("done_at")
    assert [str(one.service) for one in records] == ["Oil change", "Oil change"]
    # 13/12/2025 shows that the day comes first throughout
    assert [one.done_at.date() for one in records] == [date(2024, 12, 3), date(2025, 12, 13)]
    assert records[0].minutes == 45
    assert RecordedMeter.objects.get(record=records[1]).value == 1480
    read = Reading.objects.filter(meter__machine__tag="MX-02").order_by("value")
    assert list(read.values_list("value", flat=True)) == [1250.5, 1480]


def test_intervals_parts_people_and_bookings(came):
    oil = Interval.objects.get(service__name="Oil change")
    assert (oil.every, oil.every_months, oil.first_at, oil.late) == (100, 12, 20, 10)
    assert oil.source == "p. 12"
    assert Interval.objects.get(service__name="Grease").late_percent == 10
    assert Part.objects.get(number="OIL").kind == Part.Kind.FLUID
    assert StockMovement.objects.get(part__number="OIL").quantity == 24_000
    ada = Person.objects.get(email="ada@example.org")
    assert not ada.has_usable_password()
    assert sorted(ada.skills.values_list("name", flat=True)) == ["general", "hydraulic"]
    assert [row.hours for row in ada.working_hours.all()] == [8] * 5
    booked = Booking.objects.get(customer="Juniper Camp")
    assert (booked.first_day, booked.value) == (date(2026, 12, 20), 1200)


def test_what_was_missing_is_marked_as_to_be_completed(came):
    assert set(ToComplete.objects.values_list("model", "name")) >= {
        ("shop", "Workshop"), ("yard", "North"), ("service", "Grease"), ("makeup", "Orrel X9"),
    }  # fmt: skip


def test_twice_adds_nothing(came):
    before = row_counts()
    _, again = bring_at_once(workbook(), "fleet.xlsx", make_missing=True, by=None, now=NOW)
    assert sum(counts(again, "added").values()) == 0
    assert counts(again, "same") == counts(came[1], "added")
    assert row_counts() == before


def test_a_look_says_the_same_and_writes_nothing(db):
    before = row_counts()
    looked = look_at(workbook(), Import(file_name="fleet.xlsx", make_missing=True), NOW)
    assert counts(looked, "added")["Readings"] == 9
    assert ("yard", "North", "time zone, units, way to the shop") in looked.made
    assert row_counts() == before


def test_without_make_missing_nothing_is_made_by_the_way(db):
    _, looked = bring_at_once(workbook(), "f.xlsx", make_missing=False, by=None, now=NOW)
    assert counts(looked, "refused")["Fleet"] == 3
    assert not MakeUp.objects.exists()
    assert not Service.objects.exists()
    reasons = list(ImportRefusal.objects.filter(sheet="Fleet").values_list("reason", flat=True))
    assert "Tarnbeck T20" in reasons[0]


def test_it_tells_once_of_all_machines(db):
    told = []

    def hear(machine_ids, **_):
        told.append(machine_ids)

    facts_changed.connect(hear)
    try:
        bring_at_once(workbook(), "f.xlsx", make_missing=True, by=None, now=NOW)
    finally:
        facts_changed.disconnect(hear)
    assert told == [set(Machine.objects.values_list("pk", flat=True))]


def test_odd_readings_wait_to_be_mended(came):
    rows = [["Tag", "Date", "Hours"], ["MX-03", "2025-10-01", 12]]
    content = workbook({"Readings": rows})
    kept, looked = bring_at_once(content, "late.xlsx", make_missing=False, by=None, now=NOW)
    assert looked.sheets[0].refused == 1
    assert ReadingToMend.objects.get().machine.tag == "MX-03"
    assert ImportRefusal.objects.get(of_import=kept).cells == ["MX-03", "2025-10-01", "12"]


def test_a_tag_that_fits_two_machines_is_refused_with_their_names(db):
    for tag in ("MX-02", "MX.02"):
        factories.Meter(machine__tag=tag)
    rows = [SERVICE_TITLES, ["MX 02", "Oil change", "2025-12-13", 100]]
    content = workbook({"Services": rows})
    _, looked = bring_at_once(content, "f.xlsx", make_missing=True, by=None, now=NOW)
    assert "“MX-02” and “MX.02”" in looked.sheets[0].refusals[0].reason


SERVICE_TITLES = ["Tag", "Service", "Date", "Hours"]


def test_the_number_of_queries_does_not_grow_with_the_rows(came, django_assert_max_num_queries):
    fleet = [
        ALL["Fleet"][2],
        *[[f"N-{n:03}", "Tarnbeck", "T20", "Quad", 2021, "North", "", "", "", n, ""]
          for n in range(200)],
    ]  # fmt: skip
    content = workbook({"Fleet": fleet})
    with django_assert_max_num_queries(80):
        bring_at_once(content, "more.xlsx", make_missing=True, by=None, now=NOW)
    assert Machine.objects.count() == 203


def test_a_tag_of_before_and_a_merged_entry_lead_to_the_machine(db):
    stays = factories.Meter(machine__tag="NEW-1").machine
    FormerTag.objects.create(machine=stays, tag="OLD-1", given_up_at=NOW)
    twice = factories.Meter(machine__tag="TWICE-1").machine
    Machine.objects.filter(pk=twice.pk).update(merged_into=stays)
    rows = [
        SERVICE_TITLES,
        ["old 1", "Oil", "2025-12-13", 100],
        ["TWICE 1", "Oil", "2025-11-13", 9],
    ]
    bring_at_once(workbook({"S": rows}), "f.xlsx", make_missing=True, by=None, now=NOW)
    assert set(ServiceRecord.objects.values_list("machine__tag", flat=True)) == {"NEW-1"}


def test_values_that_cannot_be_are_refused_and_odd_ones_told(db):
    """A make-up of 2018 to 2020 stands; a person works no 60 hours in a day."""
    makeup = factories.MakeUp(maker="Tarnbeck", model="T20", first_year=2018, last_year=2020)
    heads = ["Tag", "Maker", "Model", "Class", "Year", "Yard"]
    machine = ["Tarnbeck", "T20", str(makeup.machine_class)]
    sheets = {
        "Fleet": [heads, ["A-1", *machine, 1066, "North"], ["A-2", *machine, 2024, "North"]],
        "Done": [["Tag", "Service", "Date", "Minutes"], ["A-2", "Oil change", "2026-01-05", 3600]],
    }
    _, looked = bring_at_once(workbook(sheets), "fleet.xlsx", make_missing=True, by=None, now=NOW)
    fleet, done = looked.sheets
    assert [one.reason for one in fleet.refusals] == [
        "1066 cannot be a model year; write one from 1900 to 2027."
    ]
    assert "The make-up is of the model years 2018 to 2020, and this says 2024." in str(
        fleet.doubts
    )
    assert "A day has 1,440 minutes" in str(done.doubts)


@pytest.mark.parametrize("batches", [0, 1])
def test_a_file_that_was_cut_off_on_its_way_goes_on(db, monkeypatch, batches):
    """The power goes before anything came in, or after the first batch of its readings."""
    monkeypatch.setattr(import_acts, "SMALL", 5)
    monkeypatch.setattr(take_rows, "BATCH", 4)
    content = workbook()
    take, done = take_rows._take_batch, []

    class PowerGone(BaseException):
        pass

    def cut_off(rows, run):
        if len(done) == batches:
            raise PowerGone
        done.append(take(rows, run))

    monkeypatch.setattr(take_rows, "_take_batch", cut_off)
    words = {"make_missing": True, "by": None, "now": NOW}
    with pytest.raises(PowerGone):
        bring_at_once(content, "fleet.xlsx", **words)
    monkeypatch.setattr(take_rows, "_take_batch", take)
    kept, looked = bring_at_once(content, "fleet.xlsx", **words)
    assert counts(looked, "added") == ADDED  # what came before the break is counted too
    assert list(Import.objects.values_list("pk", "stage")) == [(kept.pk, Import.Stage.DONE)]
    read = row_counts()
    _, again = bring_at_once(content, "fleet.xlsx", **words)
    assert sum(counts(again, "added").values()) == 0
    assert row_counts() == read
