"""In which order to look for a cause: likely and cheap first, what cannot be tested last.

Pure.  A check is worth its chance times the minutes that finding the cause there saves, over the
minutes that it costs; the highest worth comes first.  With equal savings that is the rule of the
ratio p/c, by which a search for one cause costs least on average (Mitten, 1960; from memory).

The chance of a cause begins with the library's weights, which count as `PRIOR_CASES` cases of the
shop, and moves with each cause that the shop itself found for the symptom.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from fleet.makeup_traits import fits
from fleet.procedures.fault_library import CheckOutcome, FaultCheck, Symptom

PRIOR_CASES = 10.0
"""So many cases of the shop weigh as much as the library's own weights (our judgement)."""


@dataclass(frozen=True)
class RankedCheck:
    """A check with its chance to find the cause, from nought to one, and its worth.

    found_here: cases of the shop in which this symptom was a cause that the check can come upon.
    """

    check: FaultCheck
    chance: float
    worth: float
    found_here: int


def ranked_checks(
    symptom: Symptom, found: Mapping[str, int], traits: Mapping[str, str]
) -> list[RankedCheck]:
    """Return the checks that are done on a build, in order.

    found: cause -> how often the shop found it for this symptom.  traits: trait -> build.
    """
    checks = [one for one in symptom.checks if fits(one.only_on, traits) is not False]
    chances = _chances(checks, found)
    ranked = [
        _rank(check, chances[check.key], sum(found.get(cause, 0) for cause in check.can_find))
        for check in checks
    ]
    return sorted(ranked, key=lambda one: (one.check.untestable, -one.worth, one.check.key))


def _chances(checks: Collection[FaultCheck], found: Mapping[str, int]) -> dict[str, float]:
    """Return check -> chance that it finds the cause; checks of one cause share its cases.

    A cause that no check is after, and that is an answer to one all the same, counts for that one.
    """
    whole = sum(one.weight for one in checks) or 1.0
    of_cause: dict[str, float] = {}
    for one in checks:
        for cause in one.can_find:
            of_cause[cause] = of_cause.get(cause, 0.0) + one.weight
    cases = sum(found.get(cause, 0) for cause in of_cause)

    def seen_by(check: FaultCheck) -> float:
        """Return the shop's cases that this check would have come upon."""
        return sum(
            found.get(cause, 0) * _share(check.weight, of_cause[cause]) for cause in check.can_find
        )

    return {
        one.key: (PRIOR_CASES * one.weight / whole + seen_by(one)) / (PRIOR_CASES + cases)
        for one in checks
    }


def _share(weight: float, whole: float) -> float:
    return weight / whole if whole else 1.0


def _rank(check: FaultCheck, chance: float, found_here: int) -> RankedCheck:
    return RankedCheck(check, chance, chance * check.saves / max(check.minutes, 0.5), found_here)


def next_check(
    symptom: Symptom, order: list[RankedCheck], outcomes: Mapping[str, str]
) -> RankedCheck | None:
    """Return the check to do next, None when all are done.

    outcomes: check -> its outcome, in the order in which they were said.  What the last outcome
    names comes first, unless it is done or not of this build; else the next in order.
    """
    open_ones = [one for one in order if one.check.key not in outcomes]
    named = named_next(symptom, outcomes)
    return next((one for one in open_ones if one.check.key == named), None) or next(
        iter(open_ones), None
    )


def named_next(symptom: Symptom, outcomes: Mapping[str, str]) -> str:
    """Return the check that the last outcome names, "" where it names none."""
    last = list(outcomes.items())[-1:]
    for key, outcome in last:
        check = symptom.check(key)
        told = check.outcome(outcome) if check else None
        return told.next if told else ""
    return ""


def follows(
    symptom: Symptom, order: list[RankedCheck], outcomes: Mapping[str, str],
    check: FaultCheck, outcome: CheckOutcome,
) -> RankedCheck | None:  # fmt: skip
    """Return the check that would come after an outcome, so that it can be said with it."""
    return next_check(symptom, order, {**outcomes, check.key: outcome.key})
