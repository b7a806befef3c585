"""The demo's shop, yards, people, hours and closed days, as facts."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Any

from django.contrib.auth.hashers import make_password

from fleet.demo.day_numbers import holidays
from fleet.demo.roster import MACHINES_A_SHOP
from fleet.demo.scenario import Scenario
from fleet.models import (
    Absence,
    ClosedDay,
    Person,
    Shop,
    ShopHours,
    Skill,
    WorkingHours,
    Yard,
)

MACHINES_A_CREW = 98
"""Machines that the crew of the scenario looks after; a larger shop has more of them."""


@dataclass
class DemoShop:
    """One shop with its yards and people, ready to write machines into."""

    shop: Shop
    yards: dict[str, Yard]
    manager: Person
    desk: Person
    mechanics: list[Person]

    def mechanic(self, skill: str, turn: int) -> Person:
        """A mechanic who has a skill, by turns."""
        able = [m for m in self.mechanics if skill in self.skills[m.pk]] or self.mechanics
        return able[turn % len(able)]

    @property
    def skills(self) -> dict[int, set[str]]:
        """Mechanic -> names of skills."""
        return self._skills

    _skills: dict[int, set[str]]


def _numbered(text: str, copy: int) -> str:
    return text if copy == 0 else f"{text} {copy + 1}"


def _write_shop(scenario: Scenario, copy: int) -> tuple[Shop, dict[str, Yard]]:
    facts = scenario["shop"]
    shop = Shop.objects.create(
        name=_numbered(facts["name"], copy),
        time_zone=facts["time_zone"],
        units=facts["units"],
        bays=facts["bays"],
    )
    ShopHours.objects.bulk_create(
        ShopHours(shop=shop, weekday=day, opens=time.fromisoformat(a), closes=time.fromisoformat(b))
        for day, a, b in facts["hours"]
    )
    yards = {}
    for entry in scenario["yards"]:
        told = {key: value for key, value in entry.items() if key not in ("key", "round", "name")}
        yards[entry["key"]] = Yard.objects.create(
            name=_numbered(entry["name"], copy),
            shop=shop,
            time_zone=facts["time_zone"],
            units=facts["units"],
            **told,
        )
    return shop, yards


def write_closed_days(scenario: Scenario, shop: Shop, first: date, last: date) -> None:
    """Holidays between two days; those that are known already stay as they are."""
    known = set(ClosedDay.objects.filter(shop=shop, yard=None).values_list("day", flat=True))
    ClosedDay.objects.bulk_create(
        ClosedDay(shop=shop, day=day, reason=name)
        for day, name in holidays(scenario["holidays"], first, last).items()
        if day not in known
    )


def _stocktaking(scenario: Scenario, shop: Shop, today: date) -> None:
    for entry in scenario["closed_ahead"]:
        day = today + timedelta(days=entry["in_days"])
        ClosedDay.objects.get_or_create(
            shop=shop, yard=None, day=day, defaults={"reason": entry["reason"]}
        )


def _write_person(entry: dict[str, Any], shop: Shop, number: int) -> Person:
    """One person; the first of each name may sign in, the others have no password."""
    username = entry["username"] + (str(number + 1) if number else "")
    password = entry.get("password") if number == 0 else None
    person = Person.objects.create(
        username=username,
        first_name=entry["first_name"],
        last_name=_numbered(entry["last_name"], number),
        email=f"{username}@example.org",
        role=entry["role"],
        shop=shop,
        password=make_password(password),  # of None: nobody can sign in with it
    )
    person.skills.set(Skill.objects.filter(name__in=entry["skills"]))
    WorkingHours.objects.bulk_create(
        WorkingHours(person=person, weekday=int(day), hours=hours)
        for day, hours in entry["hours"].items()
    )
    return person


def _write_people(
    scenario: Scenario, shop: Shop, copy: int, machines: int
) -> dict[str, list[Person]]:
    crews = max(1, -(-machines // MACHINES_A_CREW))
    most_crews = -(-MACHINES_A_SHOP // MACHINES_A_CREW)
    people: dict[str, list[Person]] = {}
    for entry in scenario["people"]:
        of_shop = crews if entry["role"] == "mechanic" else 1
        each_shop = most_crews if entry["role"] == "mechanic" else 1
        people[entry["username"]] = [
            _write_person(entry, shop, copy * each_shop + n) for n in range(of_shop)
        ]
    return people


def write_absence(scenario: Scenario, people: list[Person], today: date) -> None:
    """One mechanic will be away soon."""
    away = scenario["absence"]
    start = today + timedelta(days=away["in_days"])
    person = next((p for p in people if p.username.startswith(away["username"])), None)
    if person:
        Absence.objects.create(
            person=person,
            first_day=start,
            last_day=start + timedelta(days=away["days"] - 1),
            reason=away["reason"],
        )


def write_place(scenario: Scenario, copy: int, machines: int, span: tuple[date, date]) -> DemoShop:
    """Write one shop with all that belongs to it; span: first day of the past, and today."""
    shop, yards = _write_shop(scenario, copy)
    first, today = span
    write_closed_days(scenario, shop, first, today + timedelta(days=400))
    _stocktaking(scenario, shop, today)
    people = _write_people(scenario, shop, copy, machines)
    write_absence(scenario, [p for of_name in people.values() for p in of_name], today)
    return place_of(shop, yards)


def place_of(shop: Shop, yards: dict[str, Yard]) -> DemoShop:
    """A shop of the demo as it stands in the database."""
    people = list(shop.people.prefetch_related("skills").order_by("pk"))
    mechanics = [p for p in people if p.role == "mechanic"]
    return DemoShop(
        shop=shop,
        yards=yards,
        manager=next(p for p in people if p.role == "manager"),
        desk=next(p for p in people if p.role == "desk"),
        mechanics=mechanics,
        _skills={m.pk: {s.name for s in m.skills.all()} for m in mechanics},
    )
