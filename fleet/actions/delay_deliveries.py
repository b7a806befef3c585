"""Deliveries slip: their new days are written beside the old ones."""

from datetime import date, datetime

from django.db import transaction

from fleet.changed_facts import tell
from fleet.models import Delivery, DeliveryChange, Machine, Part, Person
from fleet.refusal import Refusal


@transaction.atomic
def delay_delivery(
    delivery: Delivery,
    *,
    expected_on: date,
    latest_on: date | None = None,
    by: Person | None,
    at: datetime,
    note: str = "",
) -> Delivery:
    """Move a delivery's days; the days that were given before stay on record.

    latest_on: the late day, if the day can slip; the plan counts on the parts from then on.  The
    same days once more add nothing.  note: who said so, and why.
    """
    delivery = Delivery.objects.select_for_update(no_key=True).get(pk=delivery.pk)
    if delivery.received_at:
        raise Refusal(f"It came on {delivery.received_at:%a %-d %b}; its day can no longer move.")
    if latest_on is not None and latest_on < expected_on:
        raise Refusal("The latest day is before the expected one; swap them.", "latest_on")
    if (delivery.expected_on, delivery.latest_on) == (expected_on, latest_on):
        return delivery
    DeliveryChange.objects.create(
        delivery=delivery,
        old_expected_on=delivery.expected_on,
        new_expected_on=expected_on,
        old_latest_on=delivery.latest_on,
        new_latest_on=latest_on,
        note=note.strip(),
        by=by,
        at=at,
    )
    delivery.expected_on, delivery.latest_on = expected_on, latest_on
    delivery.save(update_fields=["expected_on", "latest_on"])
    tell(machines_waiting(delivery.part, delivery.shop_id))
    return delivery


def machines_waiting(part: Part, shop_id: int) -> set[int]:
    """Return the machines of a shop whose make-up takes a part or a fluid."""
    machines = Machine.objects.filter(yard__shop=shop_id, retired_on=None)
    fits = machines.filter(makeup__fitting_parts__part=part)
    holds = machines.filter(makeup__fluids__part=part)
    return {*fits.values_list("pk", flat=True), *holds.values_list("pk", flat=True)}
