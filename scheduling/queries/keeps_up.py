"""Whether a shop keeps up with its work, in one sentence that all pages say alike."""

from fleet.models import Shop
from fleet.saying import counted
from scheduling.models import Plan

KEEPS_UP = "The shop keeps up: all work has a day by its due date, and no booking is given up."


def plan_of(shop: Shop) -> Plan | None:
    """Return a shop's plan."""
    return Plan.objects.filter(shop=shop).first()


def keeps_up(plan: Plan | None, lost: int) -> str:
    """Say whether the plan does all work in time; empty where no plan says so.

    lost: bookings that it gives up and that have no way yet (`given_up.given_up_today`).

    Hours alone do not tell: bays, parts, skills and days on which machines are in the yard can be
    short where hours are left.
    """
    if plan is None or plan.late_work is None or plan.put_off_work is None:
        return ""
    parts = []
    if plan.late_work:
        verb = "comes after its" if plan.late_work == 1 else "come after their"
        parts.append(f"{counted(plan.late_work, 'piece')} of work {verb} due date")
    if plan.put_off_work:
        verb = "is" if plan.put_off_work == 1 else "are"
        noun = "" if parts else f" {'piece' if plan.put_off_work == 1 else 'pieces'} of work"
        parts.append(f"{plan.put_off_work}{noun} {verb} put beyond the plan")
    if lost:
        parts.append(f"{counted(lost, 'booking')} {'is' if lost == 1 else 'are'} given up")
    return f"The shop does not keep up: {'; '.join(parts)}." if parts else KEEPS_UP
