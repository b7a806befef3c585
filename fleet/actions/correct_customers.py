"""Customers put right: name and reach corrected, two entries of one made one, a name mistyped."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import ChangedValue, differences, keep_change
from fleet.actions.open_hires import HireFacts, called, customer_of
from fleet.folded_names import name_key
from fleet.logged_words import values_of
from fleet.models import Booking, Customer, Hire, LoggedChange, Person, Waiting
from fleet.refusal import Refusal

FIELDS = ("name", "phone", "mail", "note")
"""Fields of a customer that can be corrected."""


@dataclass(frozen=True)
class CustomerCorrection:
    """What the entry should have said."""

    name: str
    phone: str = ""
    mail: str = ""
    note: str = ""


@transaction.atomic
def correct_customer(
    customer: Customer, right: CustomerCorrection, *, why: str, by: Person | None, now: datetime
) -> Customer:
    """Put name, telephone number, mail and note right; each booking of theirs says the new name.

    Raises:
        Refusal: no name is left, another has it, or the entry was merged into another.

    """
    customer = Customer.objects.select_for_update(of=("self",), no_key=True).get(pk=customer.pk)
    _refuse_merged(customer)
    name = right.name.strip()
    if not name_key(name):
        raise Refusal("Say what the customer is called.", "name")
    others = [row for row in called(name) if row.pk != customer.pk]
    before = values_of(customer, FIELDS)
    if others and name_key(name) != customer.key:
        customer.twin = max(row.twin for row in others) + 1
    customer.name, customer.phone = name, right.phone.strip()
    customer.mail, customer.note = right.mail.strip(), right.note.strip()
    changed = differences(before, values_of(customer, FIELDS))
    if not changed:
        return customer
    customer.save(update_fields=[*FIELDS, "twin"])
    Booking.objects.filter(hire__customer=customer).update(customer=name)
    keep_change(customer, "corrected", changed, by=by, now=now, reason=why)
    return customer


@transaction.atomic
def merge_customers(
    keep: Customer, gone: Customer, *, why: str, by: Person | None, now: datetime
) -> Customer:
    """Make one customer of two entries; the one that goes leads to the one that stays; once."""
    pair = Customer.objects.select_for_update(of=("self",), no_key=True).filter(
        pk__in=[keep.pk, gone.pk]
    )
    rows = {row.pk: row for row in pair.order_by("pk")}
    if keep.pk == gone.pk:
        raise Refusal("That is the same entry; name the other one.", "other")
    keep, gone = rows[keep.pk], rows[gone.pk]
    if gone.merged_into_id == keep.pk:
        return keep
    _refuse_merged(keep)
    _refuse_merged(gone)
    before = values_of(keep, FIELDS)
    for name in ("phone", "mail", "note"):
        setattr(keep, name, getattr(keep, name) or getattr(gone, name))
    keep.save(update_fields=["phone", "mail", "note"])
    Booking.objects.filter(hire__customer=gone).update(customer=keep.name)
    Hire.objects.filter(customer=gone).update(customer=keep)
    Waiting.objects.filter(customer=gone).update(customer=keep)
    Customer.objects.filter(merged_into=gone).update(merged_into=keep)
    gone.merged_into = keep
    gone.save(update_fields=["merged_into"])
    changed = differences(before, values_of(keep, FIELDS))
    keep_change(keep, f"merged with {gone.name}"[:80], changed, by=by, now=now, reason=why)
    return keep


def _refuse_merged(customer: Customer) -> None:
    if customer.merged_into_id:
        raise Refusal(f"{customer} was merged into another entry; take that one.", "other")


def give_line_a_name(
    booking: Booking, name: str, *, why: str, by: Person | None, now: datetime
) -> str:
    """Put right for whom one machine of a hire is, and return the name as it is known.

    A machine that is alone on its hire takes the hire with it: if nobody is called so, and the
    customer has nothing else, it was a slip of the pen and the entry itself is corrected.  One of
    several goes to a hire of its own.  Inside the caller's transaction.
    """
    hire = booking.hire
    if hire is None or name_key(name) == name_key(hire.who):
        return hire.who if hire else name.strip()
    alone = not hire.bookings.exclude(pk=booking.pk).exists() and not hire.class_lines.exists()
    if alone and hire.in_house:
        return _rename_job(hire, name, why, by, now)
    if alone and hire.customer and not called(name) and hire.customer.hires.count() == 1:
        old = hire.customer
        right = CustomerCorrection(name, old.phone, old.mail, old.note)
        return correct_customer(old, right, why=why, by=by, now=now).name
    customer = customer_of(HireFacts(name), by=by, now=now)
    if alone:
        before, hire.customer = hire.who, customer
        hire.save(update_fields=["customer"])
        said = [ChangedValue("customer", before, customer.name)]
        keep_change(hire, "corrected", said, by=by, now=now, reason=why)
    else:
        booking.hire = Hire.objects.create(
            customer=customer, site=hire.site, purpose=hire.purpose, made_at=now, made_by=by
        )
        booking.save(update_fields=["hire"])
    return customer.name


def _rename_job(hire: Hire, name: str, why: str, by: Person | None, now: datetime) -> str:
    said = [ChangedValue("purpose", hire.purpose, name.strip())]
    hire.purpose = name.strip()
    hire.save(update_fields=["purpose"])
    keep_change(hire, "corrected", said, by=by, now=now, reason=why)
    return hire.purpose


HIRE_FIELDS = ("site", "purpose", "notes")
"""Fields of a hire that can be corrected."""


@transaction.atomic
def correct_hire(
    hire: Hire, right: dict[str, str], *, by: Person | None, now: datetime
) -> LoggedChange | None:
    """Put site, purpose and notes right; None where nothing is other than it was."""
    hire = (
        Hire.objects.select_for_update(of=("self",), no_key=True)
        .select_related("customer")
        .get(pk=hire.pk)
    )
    before = values_of(hire, HIRE_FIELDS)
    for name in HIRE_FIELDS:
        setattr(hire, name, right[name].strip())
    if hire.in_house and not hire.purpose:
        raise Refusal("Say which job within the house it is.", "purpose")
    changed = differences(before, values_of(hire, HIRE_FIELDS))
    if not changed:
        return None
    hire.save(update_fields=HIRE_FIELDS)
    if hire.in_house:
        hire.bookings.update(customer=hire.who)
    return keep_change(hire, "corrected", changed, by=by, now=now)
