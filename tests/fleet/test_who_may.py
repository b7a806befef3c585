"""Every address of the site is asked by each of the people, and answers as the table says."""

from inspect import getsource, unwrap

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import get_resolver, reverse
from django.utils import timezone

from fleet.access import signed_in
from fleet.admin.set_up_site import site
from fleet.models import ClientKey, KeyScope, Person, Role
from fleet.models.client_keys import digest_of
from fleet.queries.shop_reach import WAYS, serves_all, within
from fleet.who_may import WHO_MAY, Reach, asked_of
from scheduling.models import Notice
from tests import every_page, factories
from tests.made_fleet import make_fleet

pytestmark = pytest.mark.django_db
REFUSED = (403, 404)
NEEDS_MORE = {"hire-add", "class-line", "wait-book", "person-look", "who-looks-end"}
"""What is sent has to name a machine, a shop or who looks; else there is nothing of that name."""
TO_SIGN_IN = "/sign-in/"
NAMES = [
    (space, str(pattern.name))
    for space, pattern in every_page._patterns(get_resolver(), "")
    if pattern.name
]


@pytest.fixture(scope="module")
def walked(django_db_setup, django_db_blocker):
    """Ask every address that is no sheet, by both methods, and return who got what status.

    Nothing that a walker does stays: what one changes would be another's surprise.
    """
    with django_db_blocker.unblock(), transaction.atomic():
        made = make_fleet(timezone.now())
        clients = {f"own {role}": _client(person) for role, person in made.people.items()}
        away = factories.Shop(name="Zz other shop")
        for role in (Role.MANAGER, Role.DESK, Role.MECHANIC):
            clients[f"other {role}"] = _client(factories.Person(role=role, shop=away))
        clients["nobody"] = Client(raise_request_exception=False)
        letter = Notice.objects.get(person=made.people[Role.MANAGER])
        pages = [(p.name, p.examples[:1]) for p in every_page.pages() if not p.is_sheet]
        chosen = {"notice": letter.pk, "set-up-people-edit": made.people[Role.DESK].pk}
        chosen |= dict.fromkeys(("hand-keys", "hand-keys-back"), made.people[Role.HAND].pk)
        pages = [(name, [{"pk": chosen[name]}] if name in chosen else some) for name, some in pages]
        found = {}
        for name, examples in pages:
            for arguments in examples:
                address = reverse(name, kwargs=arguments)
                for who, client in clients.items():
                    if not _concerns(who, name, arguments):
                        continue
                    for method in ("get", "post"):
                        place = transaction.savepoint()
                        answer = getattr(client, method)(address)
                        transaction.savepoint_rollback(place)
                        to = answer.headers.get("Location", "")
                        status = "sign in" if to.startswith(TO_SIGN_IN) else answer.status_code
                        found[name, bool(arguments), who, method] = status
        connection.set_rollback(True)
    return found


def _concerns(who, name, arguments):
    """Whether somebody is asked for here: others where it is one shop's row, owners beyond it."""
    reach = WHO_MAY[name].reach if name in WHO_MAY else None
    if who.startswith("other"):
        return reach is Reach.OWN_SHOP and bool(arguments)
    return who != "own owner" or reach is not Reach.OWN_SHOP


def _client(person):
    client = Client(raise_request_exception=False)
    client.force_login(person)
    return client


def test_every_address_stands_in_the_table_and_nothing_else_does():
    untold = {f"{space}:{name}" for space, name in NAMES if asked_of(space, name) is None}
    assert untold == set()
    there = {space or name for space, name in NAMES}
    assert set(WHO_MAY) <= there, set(WHO_MAY) - there


def test_the_walk_went_everywhere(walked):
    asked = {name for name, _, _, _ in walked}
    apart = {"first-run", "sign-out", "sign-out-everywhere", "metrics"}  # each has tests of its own
    plain = {name for space, name in NAMES if not space} - apart
    assert plain - asked == set()


def test_each_role_gets_what_the_table_says(walked):
    wrong = []
    for (name, _, who, method), status in walked.items():
        told = WHO_MAY[name]
        kind, _, role = who.partition(" ")
        if kind != "own":
            continue
        allowed = told.reads if method == "get" else told.writes
        if role == Role.MANAGER and told.reach is Reach.EVERY_SHOP:
            fine = status == 403 or (not allowed and status == 405)
        elif not allowed:
            fine = status in (403, 405)
        elif Role(role) not in allowed:
            fine = status == 403
        elif told.row_decides and Role(role) not in (Role.OWNER, Role.MANAGER):
            fine = status != "sign in" and status < 500 and status != 405
        elif name in NEEDS_MORE and method == "post":
            fine = status == 404
        else:
            fine = status != "sign in" and status < 500 and status not in (403, 404, 405)
        if not fine:
            wrong.append((name, who, method, status))
    assert wrong == []


def test_another_shops_things_are_not_there(walked):
    """A page without arguments shows each their own; with the number of another's row, nothing."""
    wrong, tried = [], 0
    for (name, has_arguments, who, method), status in walked.items():
        if who.startswith("other") and has_arguments:
            tried += 1
            if status not in (*REFUSED, 405) and name not in BY_WORD:
                wrong.append((name, who, method, status))
    assert wrong == []
    assert tried > 200


BY_WORD = {
    "risk-group": "takes the name of a group, of one's own bookings",
    "yard-file": "takes what is written and how, of one's own shop",
    "machines-file": "takes how it is written, of one's own machines",
    "planned-done-file": "takes how it is written, of one's own shop",
    "hindsight-file": "takes how it is written, of one's own shop",
    "parts-to-order-file": "takes how it is written, of one's own shop",
    "last-done-of-class": "a class is of all shops, and shows one's own machines of it",
    "mend-many": "takes a reason, and answers one's own readings that wait for it",
    "broke-mend": "takes what broke; it is said of one's own shop",
    "trial-new": "takes what is to be tried, on one's own plan",
}
"""Address -> why its argument names no row."""


def test_no_method_is_shut_that_its_page_takes():
    """The walk sees a page that is shut as one that takes no such method; its source tells."""
    shut = []
    for space, pattern in every_page._patterns(get_resolver(), ""):
        may = None if space else asked_of(space, str(pattern.name))
        if may is None:
            continue
        source = getsource(unwrap(pattern.callback))
        reads = "require_POST" not in source and '(["POST"])' not in source
        writes = "require_POST" in source or '"POST"' in source
        if (reads and not may.reads) or (writes and not may.writes):
            shut.append(pattern.name)
    assert shut == ["sign-out"]  # Django's own, which takes a press alone


def test_nobody_comes_in_without_signing_in(walked):
    wrong = []
    for (name, _, who, method), status in walked.items():
        if who == "nobody" and not WHO_MAY[name].signed_out and status != "sign in":
            wrong.append((name, method, status))
    assert wrong == []


def test_the_sheets_are_for_managers_and_within_their_shop(client):
    made = make_fleet(timezone.now())
    away = factories.Shop(name="Zz other shop")
    for role in (Role.DESK, Role.MECHANIC):
        assert _client(made.people[role]).get(reverse("sheets:index")).status_code == 403
    boss = _client(factories.Person(role=Role.MANAGER, shop=away))
    for sheet in site._registry.values():
        if sheet.model not in WAYS:
            continue
        row = within(made.people["manager"], sheet.model.objects.all()).first()
        address = f"sheets:fleet_{sheet.model._meta.model_name}_%s"
        for what in ("change", "delete", "history"):
            for method in ("get", "post"):
                answer = getattr(boss, method)(reverse(address % what, args=[row.pk]))
                assert answer.status_code in (302, *REFUSED), (sheet, what)
        listed = boss.get(reverse(address % "changelist"))
        assert f"/{sheet.model._meta.model_name}/{row.pk}/change/" not in listed.text


def test_the_sheets_offer_only_what_is_theirs():
    made = make_fleet(timezone.now())
    away = factories.Shop(name="Zz other shop")
    boss = factories.Person(role=Role.MANAGER, shop=away)
    request = _client(boss).get(reverse("sheets:index")).wsgi_request
    for sheet in site._registry.values():
        for field in sheet.model._meta.fields:
            if field.related_model in WAYS:
                offered = sheet.formfield_for_dbfield(field, request=request)
                theirs = getattr(getattr(offered, "queryset", None), "all", list)()
                for row in theirs:
                    assert row in within(boss, field.related_model.objects.all()), (sheet, field)
    assert made.shop not in within(boss, type(made.shop).objects.all())
    assert signed_in(request) == boss


PERSON = {
    "username": "made-manager", "password": "long grass 9", "role": "manager", "is_active": "on",
    "qualifications-TOTAL_FORMS": 0, "qualifications-INITIAL_FORMS": 0,
    "absences-TOTAL_FORMS": 0, "absences-INITIAL_FORMS": 0,
}  # fmt: skip


@pytest.mark.parametrize("whom", ["manager", "desk", "owner"])
def test_a_manager_sets_nobodys_password_in_another_shop_and_never_an_owners(client, whom):
    made = make_fleet(timezone.now())
    there = made.people[whom]
    boss = factories.Person(role=Role.MANAGER, shop=factories.Shop(name="Zz other shop"))
    at_home = Person.objects.get(username="made-manager")
    for who in (boss, at_home) if whom == "owner" else (boss,):
        client.force_login(who)
        client.post(reverse("set-up-people-edit", args=[there.pk]), PERSON)
        set_one = {"password1": "long grass 9", "password2": "long grass 9"}
        client.post(reverse("sheets:auth_user_password_change", args=[there.pk]), set_one)
        there.refresh_from_db()
        assert not there.check_password("long grass 9")


def test_a_manager_makes_no_owner_and_nobody_of_all_shops(client):
    boss = factories.Person(role=Role.MANAGER, username="boss")
    factories.Shop(name="Zz other shop")
    client.force_login(boss)
    for given in ({"role": "owner", "shop": boss.shop_id}, {"role": "manager", "shop": ""}):
        client.post(reverse("set-up-people-new"), PERSON | given | {"username": "new"})
        assert not Person.objects.filter(username="new").exists()
    fine = PERSON | {"username": "new", "role": "manager", "shop": boss.shop_id}
    client.post(reverse("set-up-people-new"), fine)
    assert Person.objects.get(username="new").role == Role.MANAGER


def test_an_owner_may_all_in_every_shop(client):
    made = make_fleet(timezone.now())
    client.force_login(factories.Person(role=Role.OWNER, shop=factories.Shop()))
    assert client.get(reverse("machine", args=[made.machine.tag])).status_code == 200
    assert client.get(reverse("bring-in")).status_code == 200
    edit = reverse("set-up-people-edit", args=[made.people["owner"].pk])
    assert client.get(edit).status_code == 200


def test_who_manages_the_only_shop_serves_all_of_it_and_owns_what_it_grows_to(client):
    boss = factories.Person(role=Role.MANAGER, username="boss")
    assert serves_all(boss)
    client.force_login(boss)
    shop = {
        "name": "Second", "time_zone": "UTC", "units": "metric", "bays": 1, "nightly_at": "23:00",
        "look_ahead_days": 14, "warn_days": 7, "horizon_days": 28, "frozen_days": 1,
        "overtime_limit_hours": 0, "overtime_cost_per_hour": 0, "day_0": "07:00 to 17:00",
        "closed_days-TOTAL_FORMS": 0, "closed_days-INITIAL_FORMS": 0,
    }  # fmt: skip
    client.post(reverse("set-up-shops-new"), shop)
    boss.refresh_from_db()
    assert (boss.role, boss.shop.people.count()) == (Role.OWNER, 1)


@pytest.mark.parametrize("scope", KeyScope)
def test_a_key_of_the_interface_reaches_its_scope_and_its_shop(client, scope):
    """What each scope opens stands in tests/scheduling/interface; here, that no key opens less."""
    made = make_fleet(timezone.now())
    key, word = ClientKey.objects.get(), "w" * 20
    away = factories.Shop(name="Zz other shop")
    key.digest, key.scopes, key.shop = digest_of(word), [scope], away
    key.save()
    number = made.machine.bookings.first().pk
    shown = {"headers": {"authorization": f"Bearer {word}"}}
    for address in ("one_booking", "move_booking", "call_booking_off"):
        place = reverse(f"interface:{address}", args=[number])
        for answer in (
            client.get(place, **shown),
            client.post(place, "{}", content_type="application/json", **shown),
        ):
            assert answer.status_code in (401, 403, 404, 405, 422), address
    assert client.get(reverse("interface:list_bookings")).status_code == 401
