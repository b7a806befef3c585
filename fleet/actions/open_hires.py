"""Hires are opened here, one by one or many at once, each for a customer who is found again."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.actions.keep_changes import differences, keep_change
from fleet.folded_names import name_key, phone_key
from fleet.logged_words import values_of
from fleet.models import Booking, Customer, Hire, Person
from fleet.refusal import Refusal

KEYS_AT_ONCE = 500
"""Names looked up in one query."""


@dataclass(frozen=True)
class HireFacts:
    """Who books, as typed, and what for.

    another: it is somebody else than the customer of that name who is known.
    """

    customer: str
    phone: str = ""
    mail: str = ""
    site: str = ""
    purpose: str = ""
    notes: str = ""
    in_house: bool = False
    another: bool = False
    form_key: str | None = None


def open_hire(facts: HireFacts, *, by: Person | None, now: datetime) -> Hire:
    """Open a hire, in the caller's transaction; the same form sent twice is one."""
    if facts.form_key and (made := Hire.objects.filter(form_key=facts.form_key).first()):
        return made
    customer, purpose = None, facts.purpose.strip()
    if facts.in_house:
        purpose = purpose or facts.customer.strip()
    else:
        customer = customer_of(facts, by=by, now=now)
    return Hire.objects.create(
        customer=customer, in_house=facts.in_house, site=facts.site.strip(), purpose=purpose,
        notes=facts.notes.strip(), made_at=now, made_by=by, form_key=facts.form_key,
    )  # fmt: skip


def customer_of(facts: HireFacts, *, by: Person | None, now: datetime) -> Customer:
    """Return the customer who was typed, made if there is none; number and mail are kept.

    Of several of one name it is the one with that telephone number, else the first.
    """
    if not name_key(facts.customer):
        raise Refusal("Say for whom the machine is.", "customer")
    known = called(facts.customer)
    if not known or facts.another:
        return _make(facts, [row.twin for row in known], now)
    number = phone_key(facts.phone)
    found = next((row for row in known if number and row.phone_key == number), known[0])
    found = found.merged_into or found
    _keep_reach(found, facts, by, now)
    return found


def called(name: str) -> list[Customer]:
    """Return the customers of a name, whatever its case, accents and blanks; one query."""
    rows = Customer.objects.filter(key=name_key(name)).select_related("merged_into")
    return sorted(rows, key=lambda row: (row.merged_into_id is not None, row.twin))


def _make(facts: HireFacts, twins: Sequence[int], now: datetime) -> Customer:
    """Make a customer; one whom another desk made a moment ago is taken as they are."""
    twin = max(twins, default=-1) + 1
    row = Customer(
        name=facts.customer.strip(), twin=twin, phone=facts.phone.strip(),
        mail=facts.mail.strip(), made_at=now,
    ).keyed()  # fmt: skip
    # a conflict changes nothing: the key is written as it was, and the row's number comes back
    Customer.objects.bulk_create(
        [row], update_conflicts=True, unique_fields=["key", "twin"], update_fields=["key"]
    )
    return row


def _keep_reach(customer: Customer, facts: HireFacts, by: Person | None, now: datetime) -> None:
    """Keep a telephone number or mail that is new; what was known before stays in the log."""
    told = {"phone": facts.phone.strip(), "mail": facts.mail.strip()}
    new = {name: text for name, text in told.items() if text and text != getattr(customer, name)}
    if not new:
        return
    before = values_of(customer, new)
    replaced = any(before.values())
    for name, text in new.items():
        setattr(customer, name, text)
    customer.save(update_fields=list(new))
    if replaced:
        changed = differences(before, values_of(customer, new))
        keep_change(customer, "corrected", changed, by=by, now=now, reason="given at a booking")


def hires_for(bookings: Iterable[Booking]) -> tuple[list[Customer], list[Hire]]:
    """Give each booking that has none a hire, and each hire its customer; nothing is saved.

    The caller writes the customers, then the hires, then the bookings, each at one go.  A hire
    that a booking brings unsaved is returned too, and given the customer of the booking's name
    unless it is within the house.
    """
    rows = [row for row in bookings if row.hire_id is None]
    for row in rows:
        if row.hire is None:
            row.hire = Hire(made_at=row.made_at, made_by=row.made_by)
    wanted = [row for row in rows if row.hire and not row.hire.in_house]
    known = _standing({name_key(row.customer) for row in wanted})
    made: list[Customer] = []
    for row in wanted:
        key = name_key(row.customer)
        if key not in known:
            known[key] = Customer(name=row.customer.strip(), made_at=row.made_at).keyed()
            made.append(known[key])
        assert row.hire is not None
        row.hire.customer = known[key]
        row.customer = known[key].name
    return made, [row.hire.keyed() for row in rows if row.hire]


def _standing(keys: Iterable[str]) -> dict[str, Customer]:
    """Return key -> the customer of that name, the first of several."""
    found: dict[str, Customer] = {}
    ordered = sorted(keys)
    for start in range(0, len(ordered), KEYS_AT_ONCE):
        some = ordered[start : start + KEYS_AT_ONCE]
        rows = Customer.objects.filter(key__in=some).select_related("merged_into")
        for row in sorted(rows, key=lambda one: (one.merged_into_id is not None, one.twin)):
            found.setdefault(row.key, row.merged_into or row)
    return found
