"""Rows of people: name, role, shop, skills, hours.  No password comes from a file: a person can
sign in once a manager has given one."""

import re
from dataclasses import dataclass

from django.contrib.auth.hashers import make_password

from fleet.bring_in.headings import plain
from fleet.bring_in.import_run import ImportRun, go_through
from fleet.bring_in.make_missing import shop_of, skill_named
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import said_once
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.folded_names import folded
from fleet.models import Person, Qualification, Role, WorkingHours

ROLE_WORDS = {
    Role.MANAGER: "manager fleet owner boss foreman gerente jefe encargado chef responsable leiter"
    " chefin geschaftsfuhrer",
    Role.DESK: "desk rental counter office front clerk mostrador oficina comptoir bureau theke buro"
    " verleih agent",
    Role.MECHANIC: "mechanic mechanics technician tech fitter shop mecanico tecnico mecanicien"
    " technicien mechaniker techniker schlosser",
    Role.HAND: "hand ranch ranchhand peon vaquero jornalero ouvrier knecht",
}  # fmt: skip
"""Words by which a role is known."""
WEEKDAY_WORDS = (
    "mon monday lun lunes lundi mo montag", "tue tuesday tues mar martes mardi di dienstag",
    "wed wednesday mie miercoles mer mercredi mi mittwoch",
    "thu thursday thur thurs jue jueves jeu jeudi do donnerstag",
    "fri friday vie viernes ven vendredi fr freitag",
    "sat saturday sab sabado sam samedi sa samstag",
    "sun sunday dom domingo dim dimanche so sonntag",
)  # fmt: skip
LONGEST_DAY = 24
WORKING_DAYS = 5


@dataclass(frozen=True)
class Named:
    """How a person is called."""

    username: str
    first: str
    last: str


def bring_people(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring people in; nobody can sign in by it."""
    go_through(sheet, run, _person)


def _person(row: SheetRow, run: ImportRun) -> bool:
    named = _named(row, run)
    known = run.site.usernames.get(named.username.casefold())
    full = f"{named.first} {named.last}".strip()
    if known is None and not row.text("username"):
        known = said_once(run.site.people, full, "person")
    if known:
        return False
    hours = week_of(row.text("hours"), row.unit("hours"), _title(row))
    role = _role(row)
    email = row.text("email")
    if email and not re.fullmatch(r"[^@\s]+@[^@\s]+\.[^@\s]+", email):
        raise RowTrouble(f"“{email}” is not an e-mail address.")
    person = Person(
        username=named.username, first_name=named.first[:150], last_name=named.last[:150],
        email=email, role=role, shop=shop_of(row, run), password=make_password(None),
    )  # fmt: skip
    run.make(person)
    run.site.add_person(person)
    for name in dict.fromkeys(re.split(r"\s*[,;/+]\s*", row.text("skills"))):
        if name:
            run.make(Qualification(person=person, skill=skill_named(name, run)))
    for weekday, length in sorted(hours.items()):
        run.make(WorkingHours(person=person, weekday=weekday, hours=length))
    return True


def _title(row: SheetRow) -> str:
    column = row.sheet.columns.get("hours")
    return plain(column.title) if column else ""


def _named(row: SheetRow, run: ImportRun) -> Named:
    name = row.text("name")
    first, last = row.text("first_name"), row.text("last_name")
    if name and not (first or last):
        if "," in name:
            last, _, first = (part.strip() for part in name.partition(","))
        else:
            first, _, last = name.partition(" ")
    username = row.text("username") or _username(f"{first} {last}", run)
    if not username:
        raise RowTrouble("No name is given.")
    if not re.fullmatch(r"[\w.@+-]{1,150}", username):
        raise RowTrouble(f"“{username}” cannot be a user name: letters, digits and . - _ @ alone.")
    return Named(username, first, last)


def _username(full: str, run: ImportRun) -> str:
    """Return a user name for somebody: the first name, with the last one's letters if taken."""
    words = folded(full).split()
    if not words:
        return ""
    for name in (words[0], ".".join((words[0], words[-1]))):
        other = run.site.usernames.get(name)
        if other is None or folded(other.get_full_name()) == " ".join(words):
            return name
    raise RowTrouble(f"Two people would sign in as {words[0]}; write a user name beside each.")


def _role(row: SheetRow) -> Role:
    text = row.text("role")
    if not text:
        row.doubt("No role is given; taken as a mechanic.")
        return Role.MECHANIC
    words = set(folded(text).split())
    for role, known in ROLE_WORDS.items():  # nobody becomes an owner by a file
        if words & set(known.split()) or folded(text) == folded(role.label):
            return role
    raise RowTrouble(
        f"“{text}” is no role; write fleet manager, rental desk, mechanic or ranch hand."
    )


def week_of(text: str, unit: str = "", title: str = "") -> dict[int, float]:
    """Return hours by weekday: "8", "40", "8 h Mon-Fri", "Mon-Thu 9, Fri 4"; Monday is 0.

    A number alone is hours a day up to 12, above that hours of a week of five days.

    Raises:
        RowTrouble: they cannot be read.

    """
    text = text.strip()
    if not text:
        return {}
    found: dict[int, float] = {}
    for part in re.split(r"[,;]\s+|;", text):
        hours = _hours(part)
        days = _days(part)
        if days is None:
            weekly = hours > 12 or "week" in f"{title} {part}".lower()
            hours = hours / WORKING_DAYS if weekly else hours
            days = list(range(WORKING_DAYS))
        if not 0 <= hours <= LONGEST_DAY:
            raise RowTrouble(f"“{part}” cannot be the hours of a day.")
        found |= dict.fromkeys(days, hours)
    return found


def _hours(part: str) -> float:
    if span := re.search(
        r"(\d{1,2})(?:[:.h](\d{2}))?\s*(?:-|–|to|bis|a|à)\s*(\d{1,2})(?:[:.h](\d{2}))?", part
    ):
        start = int(span[1]) + int(span[2] or 0) / 60
        end = int(span[3]) + int(span[4] or 0) / 60
        if end <= start:
            end += 12
        return end - start
    number = re.search(r"\d+(?:[.,]\d+)?", part)
    if not number:
        raise RowTrouble(f"“{part}” does not say how many hours; write 8, or Mon-Fri 8.")
    return float(number[0].replace(",", "."))


def _days(part: str) -> list[int] | None:
    words = [word for word in folded(part).split() if word.isalpha()]
    places = [
        day for word in words for day, names in enumerate(WEEKDAY_WORDS) if word in names.split()
    ]
    if not places:
        return None
    if len(places) == 2 and re.search(r"[a-z]\s*(-|–|to|bis|a|à)\s*[a-z]", part.lower()):
        first, last = places
        return [day % 7 for day in range(first, last + 1 if last >= first else last + 8)]
    return places
