"""No door deletes a fact: keys are PROTECT, and every address and sheet leaves each row there."""

from collections import Counter

import pytest
from django.apps import apps
from django.db import DEFAULT_DB_ALIAS, models
from django.db.models import ProtectedError
from django.db.models.deletion import Collector
from django.urls import reverse

from fleet.admin.set_up_site import site
from fleet.forms.things import THINGS
from fleet.models import (
    Booking,
    CalendarKey,
    Finding,
    Hire,
    ImportFile,
    ImportRefusal,
    LibraryCopy,
    Limit,
    LoggedChange,
    Machine,
    MakeUp,
    Meter,
    Part,
    Person,
    ServiceRecord,
    SheetEntry,
    Shop,
    ToComplete,
    Yard,
)
from fleet.queries.history_of import PARTS_OF_IT
from tests import every_page, factories
from tests.factories import NOON
from tests.made_fleet import make_fleet

FLEET = apps.get_app_config("fleet")
GO_WITH_IT = (
    *PARTS_OF_IT, CalendarKey, ImportFile, ImportRefusal, LibraryCopy, SheetEntry, ToComplete,
)  # fmt: skip
"""What says how something is set up, or is kept for the sake of another row: no facts."""
LET_GO = {(LoggedChange, "machine"), (Limit, "then")}
"""Keys that are emptied: the log tells its subject by itself; a limit without its repair stands."""


def facts():
    return [model for model in FLEET.get_models() if model not in GO_WITH_IT]


def keys(model):
    return [f for f in model._meta.concrete_fields if f.remote_field]


def test_every_key_of_a_fact_is_protect():
    loose = {
        (model, key.name)
        for model in FLEET.get_models()
        for key in keys(model)
        if key.remote_field.on_delete is not models.PROTECT
        and not (model in GO_WITH_IT and key.remote_field.on_delete is models.CASCADE)
    }
    assert loose == LET_GO


def test_no_consequence_keeps_a_fact_from_being_rebuilt_and_none_refers_back():
    for model in FLEET.get_models():
        for key in keys(model):
            assert key.related_model._meta.app_label != "scheduling", (model, key.name)


@pytest.fixture
def made(db, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    return make_fleet(NOON)


@pytest.fixture
def owner(client, made):
    person = factories.Person(username="owner-of-all", shop=None, is_superuser=True)
    client.force_login(person)
    client.raise_request_exception = True
    return client


def counted():
    """Return how many rows of each kind there are, struck ones too."""
    return Counter({model: model._base_manager.count() for model in facts()})


def gone(before):
    """Return how many rows of which kind are there no more."""
    return before - counted()


def test_the_made_fleet_has_a_row_of_every_fact(made):
    assert [model.__name__ for model, number in counted().items() if not number] == []


def test_what_a_fact_refers_to_is_not_deleted_and_what_is_deleted_goes_alone(made):
    collected = {}
    for model in facts():
        row = model._base_manager.first()
        collector = Collector(using=DEFAULT_DB_ALIAS, origin=row)
        try:
            collector.collect([row])
        except ProtectedError:
            continue
        went = [one for one in collector.data if one in facts()]
        went += [rows.model for rows in collector.fast_deletes if rows.model in facts()]
        collected[model] = went
    assert all(went in ([], [model]) for model, went in collected.items()), collected
    held = {Shop, Yard, Machine, Meter, Booking, Hire, ServiceRecord, Part, MakeUp, Finding, Person}
    assert not held & collected.keys()


def refers(row):
    """Return whether a fact refers to a row."""
    return any(
        relation.related_model in facts()
        and relation.related_model._base_manager.filter(**{relation.field.name: row}).exists()
        for relation in row._meta.get_fields(include_hidden=True)
        if isinstance(relation, models.ManyToOneRel) and relation.on_delete is models.PROTECT
    )


def test_the_delete_pages_of_the_sheets_leave_what_has_history(owner, made):
    for sheet in site._registry.values():
        before = counted()
        stays = [row.pk for row in sheet.model._base_manager.all() if refers(row)]
        for row in sheet.model._base_manager.all():
            address = reverse(f"sheets:fleet_{row._meta.model_name}_delete", args=[row.pk])
            owner.post(address, {"post": "yes"})
        assert gone(before).keys() <= {sheet.model}
        assert sheet.model._base_manager.filter(pk__in=stays).count() == len(stays), sheet


TAKE_OUT = {f"set-up-{thing.key}-out": thing.model for thing in THINGS}


def addresses():
    """Yield every address with real arguments, but for the sheets, which are tried apart.

    What nothing has come of can be taken out of Set-up; what stands there otherwise is tried.
    """
    for page in every_page.pages():
        if page.is_sheet:
            continue
        examples = page.examples
        if model := TAKE_OUT.get(page.name):
            examples = [{"pk": row.pk} for row in model._base_manager.all() if refers(row)]
            assert examples, page.name
        for arguments in examples:
            yield page.name, reverse(page.called, kwargs=arguments)


FORMSET = ("TOTAL_FORMS", "INITIAL_FORMS")
YES = {
    "post": "yes", "reason": "so it was", "why": "so it was", "note": "so it was", "act": "yes",
    "confirm": "on", "sure": "on", "form_key": "k" * 10, "key": "k" * 10,
}  # fmt: skip


def test_no_address_deletes_a_fact(owner, made):
    tried = list(addresses())
    before = counted()
    for name, address in tried:
        owner.post(address, YES)
        if name in TAKE_OUT:
            assert not gone(before), (name, address)
    assert not gone(before)
    assert len(tried) > 100


def test_a_meter_is_not_ticked_away_on_its_machines_sheet(owner, made):
    machine, meter = made.machine, made.machine.meters.get()
    rows = {f"{name}-{end}": 0 for name in ("alterations", "storages") for end in FORMSET}
    data = {
        "makeup": machine.makeup_id, "duty_factor": "1", "notes": "kept", **rows,
        "meters-TOTAL_FORMS": 1, "meters-INITIAL_FORMS": 1, "meters-0-id": meter.pk,
        "meters-0-machine": machine.pk, "meters-0-DELETE": "on",
    }  # fmt: skip
    before = counted()
    owner.post(reverse("sheets:fleet_machine_change", args=[machine.pk]), data)
    machine.refresh_from_db()
    assert machine.notes == "kept"  # so the form was taken
    assert not gone(before)
