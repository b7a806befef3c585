"""A large import undone in steps, by a worker that may break in the middle of it."""

import pytest

from fleet.bring_in import undo_in_steps
from fleet.bring_in.owed_imports import do_owed
from fleet.bring_in.undo_in_steps import ask_to_undo
from fleet.models import Import, LoggedChange, Reading
from scheduling.models import OutboxEntry
from tests import factories
from tests.fleet.bring_in.test_import_acts import NOW
from tests.fleet.bring_in.test_import_undo import come
from tests.fleet.bring_in.workbooks import row_counts

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def asked(monkeypatch):
    """An import of which somebody asked that it be undone, two readings at a time."""
    monkeypatch.setattr(undo_in_steps, "BATCH", 2)
    factories.Meter(machine__tag="Q-1")
    before = row_counts()
    kept = come()
    assert ask_to_undo(kept, by=factories.Person())
    return kept, before


def test_a_worker_that_breaks_leaves_a_count_and_the_next_goes_on(asked, monkeypatch):
    kept, _ = asked
    whole, taken = undo_in_steps._take_batch, []

    def broken(*args):
        if taken:
            raise KeyboardInterrupt
        taken.append(args)
        whole(*args)

    monkeypatch.setattr(undo_in_steps, "_take_batch", broken)
    readings = Reading.objects.count()
    with pytest.raises(KeyboardInterrupt):
        do_owed(kept.pk, NOW)
    kept.refresh_from_db()
    assert kept.stage == Import.Stage.UNDOING
    assert kept.rows_done == readings - Reading.objects.count() > 0
    monkeypatch.setattr(undo_in_steps, "_take_batch", whole)
    do_owed(kept.pk, NOW)
    kept.refresh_from_db()
    assert (kept.stage, kept.rows_done) == (Import.Stage.UNDONE, kept.rows_in_all)
    assert not Reading.objects.exists()
    assert LoggedChange.objects.filter(act="undone").count() == 1


def test_in_steps_nothing_is_left_either(asked):
    kept, _ = asked
    do_owed(kept.pk, NOW)
    do_owed(kept.pk, NOW)  # rung for twice
    assert Import.objects.get().stage == Import.Stage.UNDONE
    assert LoggedChange.objects.filter(act="undone").count() == 1


def test_asked_twice_it_is_owed_once(asked):
    kept, _ = asked
    assert not ask_to_undo(kept, by=factories.Person())


def test_what_was_built_upon_it_in_the_meantime_keeps_the_rest(asked, monkeypatch):
    kept, _ = asked
    whole = undo_in_steps._take_batch

    def book_too(*args):
        whole(*args)
        if not any(one.machine.tag == "MX-02" for one in factories.models.Booking.objects.all()):
            machine = factories.models.Machine.objects.get(tag="MX-02")
            factories.Booking(machine=machine, customer="Hill Farm")

    monkeypatch.setattr(undo_in_steps, "_take_batch", book_too)
    OutboxEntry.objects.all().delete()
    do_owed(kept.pk, NOW)
    kept.refresh_from_db()
    assert kept.stage == Import.Stage.DONE
    assert "booking MX-02: Hill Farm" in kept.said
    assert factories.models.Machine.objects.filter(tag="MX-02").exists()
