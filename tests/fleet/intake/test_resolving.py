"""A row of texts into a reading."""

import pytest

from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import MachinesByTag, RowConventions, RowRefused, resolve
from fleet.numerals import Commas
from fleet.validation import ReadingReason
from tests import factories
from tests.factories import NOON


@pytest.fixture
def quad(db):
    meter = factories.Meter(machine__tag="Q-12")
    return meter.machine


@pytest.fixture
def truck(db):
    meter = factories.Meter(machine__tag="T-3")
    factories.Meter(machine=meter.machine, kind="distance")
    return meter.machine


def resolved(machine="Q-12", meter="", when="2026-03-02 08:00", value="412", **order):
    row = ReadingRow(2, machine, meter, when, value)
    order = RowConventions(**order)
    return resolve(row, MachinesByTag.named([machine]), order, NOON).new(order)


def test_the_only_meter_needs_no_name(quad):
    new = resolved()
    assert (new.machine, new.kind, new.value, new.source) == (quad, "hours", 412.0, "file")


def test_case_of_a_tag_does_not_matter_unless_two_differ_by_it(quad):
    assert resolved(machine="q-12").machine == quad
    other = factories.Meter(machine__tag="q-12").machine
    assert resolved(machine="q-12").machine == other
    assert resolved(machine="Q-12").machine == quad


@pytest.mark.parametrize(
    ("meter", "value", "kind"),
    [
        ("Hour meter", "412", "hours"),
        ("odometer", "412", "distance"),
        ("", "412 mi", "distance"),  # the unit tells
        ("", "412 h", "hours"),
        ("KM", "412", "distance"),
    ],
)
def test_a_meter_is_told_by_name_or_unit(truck, meter, value, kind):
    assert resolved(machine="T-3", meter=meter, value=value).kind == kind


def test_a_decimal_comma_is_read_as_the_file_says(quad):
    assert resolved(value="1,204", commas=Commas.DECIMAL).value == 1.204
    assert resolved(value="1,204").value == 1204


@pytest.mark.parametrize(
    ("change", "reason", "word"),
    [
        ({"machine": "Q-99"}, ReadingReason.UNKNOWN_MACHINE, "No machine has the tag “Q-99”"),
        ({"machine": ""}, ReadingReason.UNKNOWN_MACHINE, "No machine is named"),
        ({"machine": "T-3"}, ReadingReason.WHICH_METER, "an hour meter and an odometer"),
        ({"meter": "clock"}, ReadingReason.WHICH_METER, "not a kind of meter"),
        ({"when": "3/2/2026"}, ReadingReason.NOT_A_DATE, "can be 2026-03-02 or 2026-02-03"),
        ({"when": ""}, ReadingReason.NOT_A_DATE, "No date"),
        ({"value": "abc"}, ReadingReason.NOT_A_NUMBER, "not a number"),
        ({"value": ""}, ReadingReason.NOT_A_NUMBER, "No reading"),
        (
            {"value": "412 mi", "meter": "hours"},
            ReadingReason.NOT_A_NUMBER,
            "not a unit of an hour",
        ),
    ],
)
def test_each_row_that_is_no_reading_gets_its_reason(quad, truck, change, reason, word):
    with pytest.raises(RowRefused, match=word) as refused:
        resolved(**change)
    assert refused.value.reason is reason


def test_a_machine_without_a_meter(db):
    factories.Machine(tag="B-1")
    with pytest.raises(RowRefused, match="no meter at all"):
        resolved(machine="B-1")


def test_a_machine_of_another_yard_is_refused_when_a_yard_is_named(quad):
    with pytest.raises(RowRefused, match="lives at"):
        resolved(yard=factories.Yard())
    assert resolved(yard=quad.yard).machine == quad
