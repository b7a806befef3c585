"""What a week of a shop is short of, and what a little more of it would be worth, in words."""

from scheduling.core.planner import Bottleneck, Supply

from .names import Names


def week_sentence(week: Bottleneck, names: Names) -> str:
    """Return what the week is short of."""
    days = names.days(week.first_day, week.last_day)
    if week.scarce is None:
        return f"{days[0].upper()}{days[1:]}: nothing is short."
    return f"{days[0].upper()}{days[1:]}: short of {_scarce(week.scarce, names)}."


def supply_name(supply: Supply, names: Names) -> str:
    """Return what is scarce, as it follows "short of"."""
    if supply.kind == "bay":
        return f"room in the bays of {names.yard(supply.name)}"
    if supply.kind == "mechanic":
        return f"the time of {names.mechanic(supply.name)}"
    skill = names.skill(supply.name)
    return f"people with the skill {skill}" if skill else "everybody's time"


def _scarce(supply: Supply, names: Names) -> str:
    """Say what is scarce, how full it is, and what a little more of it would be worth."""
    unit = "bay-days" if supply.kind == "bay" else "h"
    used = f"{supply.used:.1f} of {supply.available:.1f} {unit} used"
    text = f"{supply_name(supply, names)} ({used})"
    if supply.worth is None or supply.day is None:
        return text
    more = "half a day more of a bay" if supply.kind == "bay" else "one more hour"
    worth = names.money(supply.worth)
    return f"{text}; {more} on {names.day(supply.day)} would be worth about {worth}"
