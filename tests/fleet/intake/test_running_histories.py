"""Histories kept from batch to batch judge as those that are read anew for each."""

from dataclasses import replace
from datetime import timedelta
from random import Random

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from fleet.actions import take_rows as module
from fleet.actions.take_rows import take_rows
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import RowConventions
from fleet.intake.running_histories import RunningHistories
from fleet.models import Meter, Reading, ReadingToMend
from tests import factories
from tests.factories import NOON

NOW = NOON + timedelta(days=400)
BEGUN = NOON - timedelta(days=60)
ORDER = RowConventions(file_name="years.csv")


def made_file(random, tags):
    """Rows of some machines by day, with typing errors, rows out of order, and rows twice."""
    rows, shown = [], dict.fromkeys(tags, 100.0)
    for day in range(40):
        for tag in tags:
            if random.random() < 0.8:
                shown[tag] += random.choice([0, 2.5, 6, 11])
                value = shown[tag] * random.choice([1] * 12 + [10, 0.1])
                when = NOON + timedelta(days=day, hours=random.choice([-3, 0, 4]))
                rows.append((tag, f"{when:%Y-%m-%d %H:%M}", f"{value:.1f}"))
    for _ in range(6):
        rows.insert(random.randrange(len(rows)), random.choice(rows))
    return [ReadingRow(line, tag, "", when, value) for line, (tag, when, value)
            in enumerate(rows, start=2)]  # fmt: skip


def somebody_else(seed, tags):
    """Return what writes, strikes or swaps at the end of some batches."""
    random = Random(seed)

    def after(intake, count):
        tag, chance = random.choice(tags), random.random()
        meter = Meter.objects.get(machine__tag=tag)
        last = meter.readings.order_by("read_at").last()
        if last is None or chance < 0.4:
            return
        if chance < 0.7:
            later = last.read_at + timedelta(hours=random.choice([2, 40]))
            factories.Reading(
                meter=meter, read_at=later, value=last.value + random.choice([1, 300])
            )
        elif chance < 0.9:
            factories.Reading(meter=meter, read_at=last.read_at, value=last.value, corrects=last,
                              void=True)  # fmt: skip
        else:
            Meter.objects.filter(pk=meter.pk).update(first_value=random.choice([0, 50]))

    return after


def outcome(rows, seed, tags, order):
    """Take a file and undo it; return what stood then and what was refused, with its reason."""
    with transaction.atomic():
        intake = take_rows(rows, order, NOW, somebody_else(seed, tags))
        stood = sorted(
            Reading.objects.values_list("meter__machine__tag", "read_at", "value", "void")
        )
        kept = sorted(ReadingToMend.objects.values_list("line", "reason", "sentence"))
        refused = [(one.row.line, one.reason, one.sentence) for one in intake.refused]
        transaction.set_rollback(True)
    return intake.new, intake.known, stood, kept, refused


@pytest.mark.parametrize("dry", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_the_outcome_is_that_of_reading_all_anew(db, seed, dry, monkeypatch):
    random = Random(seed)
    tags = [f"M-{n}" for n in range(random.choice([2, 5]))]
    for tag in tags:
        factories.Meter(machine__tag=tag, fitted_at=BEGUN)
    rows = made_file(random, tags)
    monkeypatch.setattr(module, "BATCH", random.choice([3, 10, 24]))
    order = replace(ORDER, dry_run=dry)
    found = outcome(rows, seed, tags, order)
    monkeypatch.setattr(RunningHistories, "keep", lambda self, upto: None)
    anew = outcome(rows, seed, tags, order)
    assert found == anew
    assert found[0] > 15
    assert found[4]


def test_what_was_read_is_not_read_again(db, monkeypatch):
    tags = [f"M-{n}" for n in range(4)]
    for tag in tags:
        meter = factories.Meter(machine__tag=tag, fitted_at=BEGUN)
        factories.Reading.create_batch(
            30, meter=meter, value=50.0,
            read_at=factories.factory.Sequence(lambda n: BEGUN + timedelta(hours=n)),
        )  # fmt: skip
    rows = [ReadingRow(2 + n, tags[n % 4], "", f"{NOON + timedelta(days=n):%Y-%m-%d}", f"{60 + n}")
            for n in range(24)]  # fmt: skip
    monkeypatch.setattr(module, "BATCH", 4)
    asked = []
    with CaptureQueriesContext(connection) as queries:
        take_rows(rows, ORDER, NOW, lambda intake, count: asked.append(
            sum("ROW_NUMBER" in one["sql"] for one in queries.captured_queries)))  # fmt: skip
    assert asked[0] > 0
    assert asked == asked[:1] * 6
