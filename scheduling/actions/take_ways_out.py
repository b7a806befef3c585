"""A manager takes a way out of a booking: each in one press, the customer kept."""

from datetime import date

from django.db import transaction

from fleet.actions.change_shop_days import SaidBy, allow_overtime
from fleet.models import Booking, Machine, OvertimeDay, Shop
from fleet.refusal import Refusal
from fleet.turns import in_turn
from scheduling.actions.answer_bookings import BookingFate, Fate, LifeChange, answer_bookings
from scheduling.actions.book_and_check_out import (
    Decision,
    override_objections,
    prolong_unless_blocked,
    refuse_final,
    want_reason,
)
from scheduling.actions.replan import PinRequest, move_work, plan_again
from scheduling.models import PlanSearch
from scheduling.queries.may_go_out import may_go_out

WHY_SWAPPED = "the machine booked first may not go out on these days"
WHY_SHORTER = "a service falls due before the machine would have been back"
WHY_OVERTIME = "work that a booking waits for"


@in_turn
@transaction.atomic
def give_instead(booking: Booking, machine: Machine, decision: Decision) -> None:
    """Give a booking another machine that may go out on its days; twice is once."""
    why = decision.reason or WHY_SWAPPED
    fate = BookingFate(booking, Fate.SWAP, machine)
    answer_bookings(LifeChange(decision.by, decision.now, why, [fate]))


@transaction.atomic
def do_it_sooner(
    shop: Shop, move: PinRequest, decision: Decision, *, overtime: float = 0.0
) -> PlanSearch:
    """Pin work before a booking, and plan the rest around it.

    overtime: hours that each mechanic may work that day beyond what is allowed so far.
    """
    if overtime:
        rows = OvertimeDay.objects.filter(shop=shop, day=move.day).order_by("pk")
        already = rows.values_list("hours", flat=True).last() or 0.0
        said = SaidBy(decision.by, decision.now, decision.reason or WHY_OVERTIME)
        allow_overtime(shop, move.day, already + overtime, said)
    return move_work(shop, move, by=decision.by, now=decision.now)


@transaction.atomic
def take_overtime_back(shop: Shop, day: date, decision: Decision) -> PlanSearch:
    """Allow no overtime on a day beyond the usual any more, and plan the shop again."""
    if day < decision.now.astimezone(shop.zone).date():
        raise Refusal("That day has gone by; its overtime stays on record.")
    allow_overtime(shop, day, 0.0, SaidBy(decision.by, decision.now, decision.reason))
    return plan_again(shop, by=decision.by, now=decision.now)


def have_it_back_sooner(booking: Booking, last_day: date, decision: Decision) -> None:
    """Shorten a booking, so that its machine is back before its service falls due."""
    if last_day > booking.last_day:
        raise Refusal("That is later than it was booked for; look at the booking again.")
    why = decision.reason or WHY_SHORTER
    prolong_unless_blocked(booking, last_day, Decision(decision.by, decision.now, why))


@in_turn
@transaction.atomic
def let_it_go_anyway(booking: Booking, decision: Decision) -> None:
    """Decide before its day that a machine goes out against what is not final; twice is once."""
    today = decision.day(booking.machine)
    first = max(booking.first_day, today)
    answer = may_go_out(booking.machine, first, booking.last_day, today, but=booking)
    refuse_final(answer)
    if answer.needs_reason:
        want_reason(answer, decision)
        override_objections(booking, answer, decision)
