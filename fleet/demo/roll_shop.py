"""What goes on in the demo's shop as days pass: deliveries come, findings are mended."""

from datetime import date, timedelta

from django.db.models import F

from fleet.demo.day_numbers import Clock
from fleet.demo.scenario import Scenario
from fleet.demo.write_capacity import roll_capacity
from fleet.demo.write_findings import LONGEST_WAIT
from fleet.demo.write_places import DemoShop, write_absence, write_closed_days
from fleet.models import Absence, Delivery, Finding, StockMovement


def roll_shop(told: Scenario, place: DemoShop, today: date, clock: Clock) -> None:
    """Bring one shop up to today."""
    write_closed_days(told, place.shop, today, today + timedelta(days=400))
    if not Absence.objects.filter(person__shop=place.shop, last_day__gte=today).exists():
        write_absence(told, place.mechanics, today)
    roll_capacity(told, place, today)
    _receive(place, today, clock)
    _mend(place, today, clock)


def _receive(place: DemoShop, today: date, clock: Clock) -> None:
    """What was on order has come, went into machines, and is ordered again."""
    waited = Delivery.objects.filter(shop=place.shop, received_at=None, expected_on__lt=today)
    came = [delivery for delivery in waited if delivery.counted_from < today]
    moves = []
    for delivery in came:
        delivery.received_at = clock.at(delivery.counted_from.toordinal(), 10 * 60)
        for quantity, reason in (
            (delivery.quantity, StockMovement.Reason.RECEIVED),
            (-delivery.quantity, StockMovement.Reason.USED),
        ):
            moves.append(
                StockMovement(
                    part_id=delivery.part_id,
                    shop=place.shop,
                    quantity=quantity,
                    reason=reason,
                    at=delivery.received_at,
                )
            )
    Delivery.objects.bulk_update(came, ["received_at"])
    StockMovement.objects.bulk_create(moves)
    Delivery.objects.bulk_create(
        Delivery(
            part_id=d.part_id,
            shop=place.shop,
            quantity=d.quantity,
            ordered_on=today,
            expected_on=today + timedelta(days=7),
        )
        for d in came
    )


def _mend(place: DemoShop, today: date, clock: Clock) -> None:
    """Settle what was found long ago, but for what is not safe."""
    before = clock.at(today.toordinal() - LONGEST_WAIT, 0)
    Finding.objects.filter(
        machine__yard__shop=place.shop, settled_at=None, seen_at__lt=before
    ).exclude(gravity=Finding.Gravity.UNSAFE).update(
        settled_at=F("seen_at") + timedelta(days=LONGEST_WAIT),
        settled_by=place.mechanics[0],
        settled_note="mended",
    )
