"""Why work stands where it does or waits, and what would have to give, in words."""

from scheduling.core.planner import CENT, FixedBy, PlaceReason, Relaxation, RelaxationKind, Spot

from .clauses import as_sentence, listed
from .conflict_words import conflict_words, hours_words
from .cost_sentences import term_name
from .names import Names

NOT_PRICED = "There was no time to look at other places for it."
"""What is said of a place for which the search had no time to give a reason."""

WORTH_SAYING = 0.5
"""Expected days early, or late, from which a sentence speaks of them."""

RELAXATIONS_SAID = 2
"""Ways out named in a sentence, the cheapest first."""

FIXED = {
    FixedBy.PIN: "it is pinned here",
    FixedBy.FROZEN: "it keeps its place, as the first days of the plan are settled",
}


def place_words(spot: Spot, names: Names) -> str:
    """Return a place in words."""
    who = f" with {names.mechanic(spot.mechanic)}" if spot.mechanic else ""
    return f"{names.day(spot.day)}{who}"


def reason_sentence(reason: PlaceReason, names: Names, longest: int | None = None) -> str:
    """Return a reason as one sentence, ways out included; longest: characters it may have."""
    return as_sentence(reason_clauses(reason, names), longest)


def place_sentence(reason: PlaceReason | None, names: Names, longest: int | None = None) -> str:
    """Return why planned work stands where it does, or that there was no time to say."""
    return NOT_PRICED if reason is None else reason_sentence(reason, names, longest)


def reason_clauses(reason: PlaceReason, names: Names) -> list[str]:
    """Return the clauses of a reason, the weightiest first."""
    if reason.waits:
        parts = [_waiting(reason, names)]
    else:
        parts = [_choice(reason, names), *_company(reason, names)]
    return [*parts, *_barred(reason, names), *_sooner(reason, names), *_ways_out(reason, names)]


def _choice(reason: PlaceReason, names: Names) -> str:
    if reason.fixed is not None:
        return FIXED[reason.fixed]
    if reason.other is None:
        return "no other place is free for it"
    total = sum(money for _, money in reason.more)
    if abs(total) < CENT:
        return f"{place_words(reason.other, names)} would cost the same"
    return (
        f"the next best place, {place_words(reason.other, names)}, would cost "
        f"{_more(total, names)}{_terms(reason, names)}"
    )


def _waiting(reason: PlaceReason, names: Names) -> str:
    if reason.other is None:
        return "there is no free place for it in this plan"
    total = sum(money for _, money in reason.more)
    if abs(total) < CENT:
        return f"{place_words(reason.other, names)} would cost as much as putting it off"
    return (
        f"the cheapest free place, {place_words(reason.other, names)}, would cost "
        f"{_more(total, names)} than putting it off{_terms(reason, names)}"
    )


def _more(money: float, names: Names) -> str:
    return f"{names.money(abs(money))} {'more' if money > 0 else 'less'}"


def _terms(reason: PlaceReason, names: Names) -> str:
    """Return the money by term in brackets."""
    said = (
        f"{term_name(term)} {'+' if money > 0 else ''}{names.money(money)}"
        for term, money in reason.more
    )
    return f" ({', '.join(said)})" if reason.more else ""


def _company(reason: PlaceReason, names: Names) -> list[str]:
    """Say what is done in the same visit, and what that saves and costs."""
    if not reason.together:
        return []
    others = listed([names.task(task) for task in reason.together])
    if reason.visit_saved < CENT or reason.early_days < WORTH_SAYING:
        return [f"it is done in one visit with {others}"]
    return [
        f"doing it in one visit with {others} saves a second visit "
        f"({names.money(reason.visit_saved)}) but comes {reason.early_days:.1f} days early "
        f"({names.money(reason.early_money)})"
    ]


def _barred(reason: PlaceReason, names: Names) -> list[str]:
    """Say what keeps it off a day that looks cheaper, and what an hour of that day is worth."""
    if reason.barred_day is None or reason.barred_by is None:
        return []
    less = f"{names.day(reason.barred_day)} would cost {names.money(reason.barred_saving)} less"
    said = [f"{less}, but {conflict_words(reason.barred_by, names)}"]
    if reason.hour_worth is not None and reason.hour_worth >= CENT:
        said.append(f"one more hour that day would be worth {names.money(reason.hour_worth)}")
    return said


def _sooner(reason: PlaceReason, names: Names) -> list[str]:
    """Speak of earlier days for late work, unless they were spoken of."""
    said = reason.barred_day is not None or reason.waits or reason.late_days < WORTH_SAYING
    if said or reason.sooner is None or reason.sooner == reason.other:
        return []
    return [
        f"doing it sooner, on {place_words(reason.sooner, names)}, would cost "
        f"{names.money(reason.sooner_more)} more"
    ]


def _ways_out(reason: PlaceReason, names: Names) -> list[str]:
    return [relaxation_words(one, names) for one in reason.gives[:RELAXATIONS_SAID]]


def relaxation_sentence(relaxation: Relaxation, names: Names) -> str:
    """Return one way out as a sentence."""
    return as_sentence([relaxation_words(relaxation, names)])


def relaxation_words(relaxation: Relaxation, names: Names) -> str:
    """Return a way out as a clause, with its price."""
    place = place_words(relaxation.spot, names)
    if relaxation.kind is RelaxationKind.LIMIT:
        return f"it is done {_days(relaxation.amount)} late instead, on {place}"
    if abs(relaxation.price) < CENT:
        money = "at the same cost"
    else:
        money = f"for {_more(relaxation.price, names)}"
    return f"{_condition(relaxation, names)}, it could be done on {place} {money}"


def _condition(relaxation: Relaxation, names: Names) -> str:
    """Say what would have to give."""
    (first, last), what = relaxation.days, relaxation.what
    by = _days(relaxation.amount)
    match relaxation.kind:
        case RelaxationKind.OVERTIME:
            hours = hours_words(relaxation.amount)
            return f"with {hours} more from {names.mechanic(what)} on {names.day(first)}"
        case RelaxationKind.BAY:
            bay = "half a bay" if relaxation.amount < 1 else "one bay"
            return f"with {bay} more on {names.day(first)}"
        case RelaxationKind.PART:
            part = names.part(what)
            return f"with {part} {by} sooner" if relaxation.amount else f"with enough {part}"
        case RelaxationKind.BOOKING:
            move = "started" if relaxation.amount > 0 else "ended"
            when = "later" if relaxation.amount > 0 else "sooner"
            return f"if the booking {names.days(first, last)} {move} {by} {when}"
    others = [names.task_on(task) for task in relaxation.tasks]
    return f"if {listed(others)} made way for it"


def _days(amount: float) -> str:
    """Return a number of days of either sign."""
    return f"{abs(amount):.0f} day{'s' if abs(amount) > 1 else ''}"
