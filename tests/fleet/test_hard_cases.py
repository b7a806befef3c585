"""Requests that broke programs before: each is answered, and none by a fault of the site."""

import os
import stat
import subprocess
import sys
import time

import pytest
from django.core.exceptions import ValidationError
from django.db import OperationalError, connections
from django.test import Client
from django.urls import reverse

from fleet.data_folder import prepare_data_folder
from fleet.models import Machine, Reading
from tests import factories
from tests.pages import sign_in
from tests.sentences import ROOT

pytestmark = pytest.mark.django_db
WRONG_HOSTS = ["evil.example.org", "a b", "[::1", "127.0.0.1:x", ""]


@pytest.mark.parametrize("host", WRONG_HOSTS)
def test_a_wrong_host_is_a_bad_request(client, host):
    sign_in(client)
    for address in ("/", "/healthz", "/sign-in/", "/no/such"):
        assert client.get(address, headers={"host": host}).status_code == 400


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_first_and_the_last_day_are_days(client, day):
    sign_in(client)
    machine = factories.Machine()
    for name in ("yard", "counter", "bench", "shop-days", "counter-calendar", "planned-done"):
        found = client.get(reverse(name), {"day": day, "first_day": day, "month": day[:7]})
        assert found.status_code < 500, name
    for name in ("hold-machine", "counter-book", "machine-bookings", "put-off"):
        found = client.post(reverse(name, args=[machine.tag]), {"day": day, "first_day": day})
        assert found.status_code < 500, name


@pytest.mark.parametrize("key", ["a\x00b", "\x00"])
def test_nul_in_a_path_or_a_key_is_not_there(client, key):
    sign_in(client)
    for name in ("machine", "job"):
        assert client.get(reverse(name, args=[key])).status_code in (400, 404), name
    for address in ("/calendar/shop/%00.ics", "/letters/in-hand/a%00b/", "/password/new/1/%00/"):
        assert client.get(address).status_code in (400, 404, 410), address
    assert (
        client.get("/api/v1/bookings", headers={"authorization": f"Bearer {key}"}).status_code
        == 401
    )
    assert client.get(reverse("set-up-make-ups"), {"q": key}).status_code == 400
    assert client.get(reverse("order-file"), {key: "x"}).status_code == 400
    posted = {"act_key": key, "username": key, "password": key}
    assert Client().post(reverse("sign-in"), posted).status_code == 400


def test_a_row_without_a_number_is_a_bad_request(client):
    boss = sign_in(client)
    meter = factories.Meter(machine__yard__shop=boss.shop)
    rows = {"meters-TOTAL_FORMS": "1", "meters-INITIAL_FORMS": "1", "meters-0-id": "inf"}
    address = reverse("sheets:fleet_machine_change", args=[meter.machine_id])
    assert client.post(address, rows).status_code == 400


@pytest.mark.parametrize("kind", ["utf-7", "utf-16"])
def test_a_form_in_another_writing_is_a_bad_request(client, kind):
    sign_in(client)
    for name in ("set-up-yards-new", "password-forgotten", "bring-in"):
        found = client.generic(
            "POST", reverse(name), b"name=+AAA-",
            content_type=f"application/x-www-form-urlencoded; charset={kind}",
        )  # fmt: skip
        assert found.status_code == 400


@pytest.mark.parametrize("value", ["inf", "-inf", "nan", "½", "1e400", "9" * 400])
def test_no_number_goes_into_a_sheet(client, value):
    boss = sign_in(client)
    meter = factories.Meter(machine__yard__shop=boss.shop)
    for sheet, field in (("season_weight", "weight"), ("capacityspell", "share"), ("part", "cost")):
        name = f"sheets:fleet_{sheet.replace('_', '')}_add"
        assert client.post(reverse(name), {field: value}).status_code == 200
    form = {"value": value, "read_on": "2026-03-01"}
    assert client.post(reverse("meter", args=[meter.pk]), form).status_code < 500
    assert not Reading.objects.exists()


@pytest.mark.parametrize("value", ["inf", "½", "9" * 400, "٣"])
def test_a_choice_of_a_sheet_that_is_no_row_is_said_and_not_failed(client, value):
    sign_in(client)
    for sheet in ("seasonweight", "interval", "machine"):
        sent = dict.fromkeys(("machine", "makeup", "yard", "service", "part"), value)
        assert client.post(reverse(f"sheets:fleet_{sheet}_add"), sent).status_code < 500, sheet


@pytest.mark.parametrize("build", ["", "null", "[]", '"x"', '{"a": 1}', "{", '{"axle": "two"}'])
def test_a_build_that_is_none_is_said_on_its_sheet_and_not_kept(client, build):
    sign_in(client)
    makeup = factories.MakeUp()
    rows = [f"{name}-{what}_FORMS" for name in MAKE_UP_ROWS for what in ("TOTAL", "INITIAL")]
    sent = {"machine_class": makeup.machine_class_id, "maker": "Tarn", "model": "T-1"}
    sent |= {"traits": build, **dict.fromkeys(rows, "0")}
    found = client.post(reverse("sheets:fleet_makeup_change", args=[makeup.pk]), sent)
    assert found.status_code in (200, 302)
    makeup.refresh_from_db()
    assert makeup.traits in ({}, {"axle": "two"})
    assert client.get(reverse("set-up-make-ups-edit", args=[makeup.pk])).status_code == 200


MAKE_UP_ROWS = ("meters", "fluids", "fitting_parts", "intervals")


@pytest.mark.parametrize("length", ["x", "-1", "1e3", "½"])
def test_a_length_that_is_none_is_a_bad_request(client, length):
    sign_in(client)
    for name in ("sign-in", "set-up-yards-new", "choose-language"):
        found = client.post(reverse(name), {"a": "b"}, headers={"content-length": length})
        assert found.status_code == 400, name


def test_a_language_leads_back_to_an_address_of_ours_alone(client):
    for back in ("6609-12-31", "home", "//evil.example.org", "http://evil.example.org/", "x y"):
        found = client.post(reverse("choose-language"), {"language": "es", "next": back})
        assert found.headers["Location"] == "/", back


def test_a_person_without_a_role_is_refused_and_not_failed(client):
    client.force_login(factories.Person(role=""))
    for address in ("/", "/yard/", "/machines/", "/counter/", "/set-up/", "/set-up/sheets/"):
        assert client.get(address).status_code == 403, address


def test_healthz_answers_a_cookie_while_the_database_is_down(client, monkeypatch):
    sign_in(client)

    def down(*_, **__):
        raise OperationalError("no database")

    monkeypatch.setattr(type(connections["default"]), "cursor", down)
    found = client.get(reverse("healthz"))
    assert found.status_code == 503
    assert found.json()["database"].startswith("down")


@pytest.mark.parametrize("count", ["999999", "9" * 40])
def test_a_million_rows_of_a_form_are_refused_within_a_second(client, count):
    boss = sign_in(client)
    typed = {"closed_days-TOTAL_FORMS": count, "closed_days-INITIAL_FORMS": "0", "name": "x"}
    client.get(reverse("set-up"))  # what is imported with the first page is no part of it
    began = time.perf_counter()
    found = client.post(reverse("set-up-shops-edit", args=[boss.shop_id]), typed)
    assert found.status_code == 400
    assert time.perf_counter() - began < 1


@pytest.mark.parametrize("count", ["-1", "½", "", "1e9"])
def test_a_count_of_rows_that_is_no_count_is_said_and_not_failed(client, count):
    boss = sign_in(client)
    typed = {"closed_days-TOTAL_FORMS": count, "closed_days-INITIAL_FORMS": "0", "name": "x"}
    found = client.post(reverse("set-up-shops-edit", args=[boss.shop_id]), typed)
    assert found.status_code == 200


@pytest.mark.parametrize("tag", ["..", ".", "a\nb", "a\n", "a\rb", "a\tb", "a\x00b", "a\u2028b"])
def test_a_tag_that_breaks_addresses_is_refused(tag):
    with pytest.raises(ValidationError):
        Machine._meta.get_field("tag").run_validators(tag)


@pytest.mark.parametrize("tag", ["T-07", "7", "A 1", "a..b", "Ünal 3", "%", "4½"])
def test_other_tags_are_fine_and_lead_to_their_page(client, tag):
    Machine._meta.get_field("tag").run_validators(tag)
    boss = sign_in(client)
    machine = factories.Machine(tag=tag, yard__shop=boss.shop)
    assert client.get(machine.get_absolute_url()).status_code == 200


def test_what_the_site_writes_is_read_by_nobody_else(tmp_path):
    data = tmp_path / "data"
    env = os.environ | {"EVENER_DATA": str(data), "DJANGO_SETTINGS_MODULE": "fleet.settings"}
    env |= {"DATABASE_URL": ""}
    code = (
        "import os; os.umask(0o022)\nimport django; django.setup()\n"
        "from django.db import connection; connection.cursor().execute('create table a (b int)')\n"
        "from django.core.mail import send_mail\n"
        "send_mail('a', 'b', 'c@d.example', ['e@f.example'])"
    )
    subprocess.run([sys.executable, "-c", code], env=env, cwd=ROOT, check=True)
    written = [data, *data.rglob("*")]
    assert {"secret_key", "evener.sqlite3", "mail"} <= {path.name for path in written}
    open_ones = [path for path in written if stat.S_IMODE(path.stat().st_mode) & 0o077]
    assert open_ones == []


def test_a_folder_that_an_earlier_version_left_open_is_shut(tmp_path):
    before = os.umask(0o022)
    try:
        (tmp_path / "evener.sqlite3").touch(0o644)
        tmp_path.chmod(0o755)
        prepare_data_folder(tmp_path, ["mail"])
    finally:
        os.umask(before)
    for path, mode in ((tmp_path, 0o700), (tmp_path / "evener.sqlite3", 0o600)):
        assert stat.S_IMODE(path.stat().st_mode) == mode
