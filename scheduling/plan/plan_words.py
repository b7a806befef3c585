"""Sentences of a plan: why a day, why not at all, what the shop lacks."""

from fleet.saying import joined, short_date
from scheduling.plan.horizon import ANY_SKILL, Worker
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan
from scheduling.wording import fitted

LONGEST = 500
"""Letters of a sentence beside work."""


def why_there(work: WorkToPlan, text: str, facts: ShopFacts) -> str:
    """Say why work stands on its day; text: what the planner says, in words."""
    parts = [text]
    if work.covers:
        parts.append(f"It covers {joined(work.covers)}.")
    if work.past_limit:
        parts.insert(0, "Past its hard limit: the machine may not go out until it is done.")
    put_off = facts.decided.put_off.get(work.key)
    if put_off:
        day = short_date(put_off[0], facts.horizon.first)
        parts.append(f"Put off on {day}: {put_off[1]}.")
    return fitted(parts, LONGEST)


def why_not(work: WorkToPlan, facts: ShopFacts, text: str = "") -> str:
    """Say why work is put beyond the horizon; text: what the planner says, in words."""
    later = facts.decided.later.get(work.key)
    if later:
        return f"Pinned to {short_date(later, facts.horizon.first)}, beyond this plan."
    put_off = facts.decided.put_off.get(work.key)
    if put_off and facts.horizon.number(put_off[0]) + 1 >= facts.horizon.days:
        return f"Put off on {short_date(put_off[0], facts.horizon.first)}: {put_off[1]}."
    reason = hindrance(work, facts)
    if reason:
        return fitted([reason], LONGEST)
    if work.due[1] >= facts.horizon.days:
        said = "Not due within this plan, and doing it sooner would save nothing."
    else:
        said = "No room for it: the hours, bays and days go to work that would cost more to leave."
    return fitted([said, text], LONGEST)


def hindrance(work: WorkToPlan, facts: ShopFacts) -> str:
    """Return what makes work impossible on every day of the plan; empty where nothing does."""
    if not any(hours > 0 for worker in facts.workers for hours in worker.hours):
        return "Nobody works in the shop on any open day of this plan."
    able = [worker for worker in facts.workers if work.skill in worker.skills]
    if not able and work.skill != ANY_SKILL:
        return f"Nobody in the shop holds the skill {work.skill}."
    return (
        _too_long(work, able, facts)
        or _nobody_beside(work, able, facts)
        or _short_of_parts(work, facts)
        or _always_out(work, facts)
    )


def _too_long(work: WorkToPlan, able: list[Worker], facts: ShopFacts) -> str:
    """Say that work is longer than anybody's longest day with all its overtime."""
    hours = work.minutes / 60 + facts.machines[work.machine].visit[0]
    limit = facts.shop.overtime_limit_hours
    longest = max(
        w.hours[day] + facts.horizon.overtime.get(day, limit)
        for w in able
        for day in range(facts.horizon.days)
    )
    if work.several_days or hours <= longest:
        return ""
    return (
        f"It takes {hours:.1f} h with the visit, and the longest day of anybody who may do it has "
        f"{longest:.1f} h: say that it may go over several days, or give somebody longer hours."
    )


def _nobody_beside(work: WorkToPlan, able: list[Worker], facts: ShopFacts) -> str:
    """Say that there is nobody to be the second person while another does the work."""
    if work.second is None:
        return ""
    skill = work.second[1]
    pairs = (
        one.hours[day] > 0 and other.hours[day] > 0
        for one in able
        for other in facts.workers
        if other.pk != one.pk and skill in other.skills
        for day in range(facts.horizon.days)
    )
    if any(pairs):
        return ""
    who = "else" if skill == ANY_SKILL else f"else who holds the skill {skill}"
    return f"It takes two, and nobody {who} works on the same days as who may do it."


def _short_of_parts(work: WorkToPlan, facts: ShopFacts) -> str:
    last = facts.horizon.days - 1
    for stock, quantity in facts.counted(facts.takes[work.key]):
        if stock.by(last) >= quantity:
            continue
        late = [one for one in stock.arrivals if one.day <= last < one.counts_from]
        if late:
            day = short_date(facts.horizon.date(late[0].counts_from), facts.horizon.first)
            return (
                f"It takes {quantity:g} of {stock.name}; what is on its way may come as late as "
                f"{day}, beyond this plan."
            )
        return (
            f"It takes {quantity:g} of {stock.name}, but {stock.on_hand:g} are on hand and "
            "not enough are on their way within this plan: order some."
        )
    return ""


def _always_out(work: WorkToPlan, facts: ShopFacts) -> str:
    machine = facts.machines[work.machine]
    shut = set(facts.horizon.yards_shut.get(machine.yard or 0, ()))
    open_days = [day for day in range(facts.horizon.days) if facts.horizon.open_hours[day]]
    out = {day for o in machine.outs for day in range(max(o.first, 0), o.last + 1)}
    if all(day in out for day in open_days):
        return "The machine is booked out on every open day of this plan."
    if all(day in out | shut for day in open_days):
        return "Its yard is shut, or the machine booked out, on every open day of this plan."
    return ""


def missing(facts: ShopFacts) -> list[str]:
    """Say what the shop lacks for a plan."""
    found = []
    if not any(facts.horizon.open_hours):
        found.append("The shop is not open on any day of this plan; give its hours in Set-up.")
    if not facts.workers:
        found.append("Nobody has working hours in this shop; give a mechanic some in Set-up.")
    elif not any(hours > 0 for worker in facts.workers for hours in worker.hours):
        found.append("Nobody works on any open day of this plan.")
    if facts.shop.bays == 0 and not any(bays > 0 for bays in facts.horizon.loaned_bays.values()):
        found.append("The shop has no bay; only remote yards can be served.")
    if uncounted := facts.uncounted:
        names = joined(uncounted[:3])
        more = len(uncounted) - 3
        names = f"{names} and {more} more" if more > 0 else names
        found.append(f"Never counted on the shelf, so taken as there: {names}.")
    return found
