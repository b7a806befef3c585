"""Who manages one of several shops brings in for that shop alone, and sees its imports alone."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from fleet.models import Booking, Import, Machine, Meter, Reading, ReadingToMend, Role, Shop, Yard
from tests import factories

PAGE = reverse("bring-in")
ALONE = "You bring in for North shop alone"


@pytest.fixture
def shops(db):
    """Two shops with a yard and a machine each, whose hour meters showed nothing yet."""
    for name in ("North", "South"):
        yard = factories.Yard(name=f"{name} yard", shop__name=f"{name} shop")
        factories.Meter(machine__tag=f"{name[0]}-1", machine__yard=yard)
    return Shop.objects.in_bulk(field_name="name")


def signed_in(role, shop):
    client = Client()
    client.force_login(factories.Person(role=role, shop=shop))
    return client


@pytest.fixture
def north(shops):
    return signed_in(Role.MANAGER, shops["North shop"])


def come(client, text, name="list.csv"):
    """Bring a file in by page; return the page that tells what came of it, and its import."""
    client.post(PAGE, {"file": SimpleUploadedFile(name, text.encode())})
    kept = Import.objects.first()
    address = reverse("bring-in-come", args=[kept.pk])
    page = client.post(address, {"act": "come", "make_missing": "yes"}, follow=True)
    kept.refresh_from_db()
    assert kept.stage == Import.Stage.DONE, page.text
    return page, kept


def test_the_page_says_for_which_shop_it_is(north, shops):
    assert ALONE in north.get(PAGE).text
    assert "alone: rows" not in signed_in(Role.MANAGER, None).get(PAGE).text


def test_machines_of_another_shop_or_yard_are_refused(north):
    text = (
        "tag,class,yard,plate\nN-2,Quad,North yard,A\nN-3,Quad,,B\nX-4,Quad,South yard,C\n"
        "S-1,Quad,South yard,D\nN-5,Quad,Third yard,E\n"
    )
    page, kept = come(north, text)
    assert "X-4" not in Machine.objects.values_list("tag", flat=True)
    assert Yard.objects.get(name="Third yard").shop.name == "North shop"
    homes = Machine.objects.filter(tag__in=["N-2", "N-5"]).values_list(
        "yard__shop__name", flat=True
    )
    assert set(homes) == {"North shop"}
    assert "South yard is a yard of another shop" in page.text
    assert "S-1 is a machine of another shop" in page.text
    assert [line for line, _ in kept.sheets[0]["refusals"]] == [4, 5]
    assert Machine.objects.get(tag="S-1").plate != "D"


def test_a_row_without_a_yard_goes_to_the_shops_only_one(north):
    come(north, "tag,class,plate\nN-2,Quad,A\n")
    assert Machine.objects.get(tag="N-2").yard.name == "North yard"


@pytest.mark.parametrize(
    ("text", "model"),
    [
        ("tag,date,hours\n{},2026-01-05,40\n{},2026-01-06,44\n", Reading),
        ("unit,out,back,customer\n{},2026-12-20,2026-12-24,Juniper Camp\n", Booking),
    ],
)
def test_facts_of_another_shops_machine_are_refused(north, text, model):
    page, kept = come(north, text.replace("{}", "S-1"))
    assert f"S-1 is a machine of another shop. {ALONE}" in page.text
    assert (model.objects.count(), ReadingToMend.objects.count()) == (0, 0)
    assert (kept.sheets[0]["added"], kept.sheets[0]["skipped"]) == (0, 0)
    given = north.get(reverse("bring-in-refused", args=[kept.pk]))
    assert "another shop" in given.content.decode()
    come(north, text.replace("{}", "N-1"), "own.csv")
    assert model.objects.exists()


def test_no_meter_is_fitted_to_another_shops_machine(north):
    meters = Meter.objects.count()
    _, kept = come(north, "tag,date,odometer mi\nS-1,2026-01-05,40\nN-1,2026-01-05,7\n")
    assert Meter.objects.count() == meters + 1
    assert (kept.sheets[0]["added"], kept.sheets[0]["refused"]) == (1, 1)


def test_no_other_shop_is_set_up_and_people_come_to_their_own(north):
    page, _ = come(north, "name,role,shop\nAda Quill,Mechanic,\nBo Marsh,Desk,Far shop\n")
    assert "There is no shop “Far shop”" in page.text
    assert Shop.objects.count() == 2
    assert north.get(reverse("set-up-people")).text.count("Ada") > 0


def test_imports_of_others_are_not_there(north, shops):
    _, kept = come(north, "tag,date,hours\nN-1,2026-01-05,40\n")
    south, every = signed_in(Role.MANAGER, shops["South shop"]), signed_in(Role.OWNER, None)
    _, whole = come(every, "tag,date,hours\nS-1,2026-01-05,40\n", "whole.csv")
    file = reverse("bring-in-file", args=[kept.pk])
    assert [one.get(file).status_code for one in (north, south, every)] == [200, 404, 200]
    assert "list.csv" not in south.get(PAGE).text
    for name in ("come", "leave", "undo", "complete"):
        answer = north.post(reverse(f"bring-in-{name}", args=[whole.pk]))
        assert answer.status_code == 404
    assert north.post(reverse("bring-in-undo", args=[kept.pk]), follow=True).status_code == 200
    assert Reading.objects.count() == 1


def test_the_workbook_has_the_shops_own_names(north):
    book = load_workbook(BytesIO(north.get(reverse("bring-in-sample")).content))
    words = {cell for sheet in book for row in sheet.values for cell in row if cell}
    assert {"North shop", "North yard", "N-1"} <= words
    assert not {"South shop", "South yard", "S-1"} & words


def test_the_only_shop_is_no_bound(db):
    shop = factories.Yard(shop__name="Barn").shop
    client = signed_in(Role.MANAGER, shop)
    come(client, "tag,class,yard\nN-2,Quad,Other yard\n")
    assert Yard.objects.filter(name="Other yard").exists()
