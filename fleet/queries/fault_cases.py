"""What the shop's own searches for faults came to, and what was mended before."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from fleet.models import (
    FaultOutcome,
    FaultSearch,
    Finding,
    FittingPart,
    FoundFault,
    Machine,
    Person,
    Service,
    ServiceRecord,
)
from fleet.procedures import traits_of_machine
from fleet.procedures.fault_library import (
    CheckOutcome,
    FaultCause,
    FaultCheck,
    Symptom,
    causes,
    symptom_called,
    symptoms_on,
)
from fleet.procedures.fault_order import RankedCheck, follows, next_check, ranked_checks
from fleet.queries.mine import machines_of
from fleet.queries.occasion_services import kinds_of
from fleet.queries.standing_records import standing_records

MOST_PAST = 6
"""So many past repairs stand beside a search, of the machine and of its model each."""


def searches_of(person: Person) -> QuerySet[FaultSearch]:
    """Return the searches on a person's machines."""
    rows = FaultSearch.objects.select_related(
        "machine__makeup__machine_class", "machine__yard__shop"
    )
    return rows.filter(machine__in=machines_of(person))


def found_before(symptom: str, shop_id: int) -> dict[str, int]:
    """Return cause -> how often a shop found it for a symptom; struck findings do not count."""
    rows = FoundFault.objects.filter(
        Q(finding=None) | Q(finding__struck=False),
        search__symptom=symptom, search__machine__yard__shop=shop_id,
    ).exclude(cause="")  # fmt: skip
    counted = rows.values("cause").annotate(number=Count("pk")).values_list("cause", "number")
    return dict(counted.order_by())


@dataclass(frozen=True)
class OfferedOutcome:
    """One answer to a check: what it says, and what comes of it."""

    key: str
    words: str
    found: FaultCause | None
    then: FaultCheck | None


@dataclass(frozen=True)
class SearchNow:
    """How a search stands.

    order: all checks of this build, the best first.  said: outcomes so far, in order.  now: the
    check to do, with its answers; None when all are done.  cases: of the shop, for this symptom.
    """

    search: FaultSearch
    symptom: Symptom | None
    order: list[RankedCheck]
    said: list[FaultOutcome]
    now: RankedCheck | None
    answers: list[OfferedOutcome]
    found: FoundFault | None
    cases: int

    @property
    def left(self) -> list[RankedCheck]:
        """The checks that are still to be done, that of now among them, the best first."""
        done = {one.check_key for one in self.said}
        return [one for one in self.order if one.check.key not in done]

    @property
    def answered(self) -> list[tuple[FaultOutcome, list[CheckOutcome]]]:
        """Each outcome so far, with what its check could have shown instead."""
        found = []
        for one in self.said:
            check = self.symptom.check(one.check_key) if self.symptom else None
            others = check.outcomes if check and not self.found else ()
            found.append((one, [each for each in others if each.key != one.outcome]))
        return found

    @property
    def suspect(self) -> FaultCause | None:
        """The cause that the last outcome names."""
        for last in self.said[-1:]:
            check = self.symptom.check(last.check_key) if self.symptom else None
            told = check.outcome(last.outcome) if check else None
            return causes().get(told.found) if told else None
        return None

    @property
    def learned(self) -> bool:
        """Whether the shop's own cases have a part in the order."""
        return self.cases > 0


def search_now(search: FaultSearch) -> SearchNow:
    """Return how a search stands: four queries."""
    symptom = symptom_called(search.symptom)
    machine = search.machine
    traits = traits_of_machine(machine)
    before = found_before(search.symptom, machine.yard.shop_id)
    said = latest(list(search.outcomes.select_related("by").order_by("at", "pk")))
    found = FoundFault.objects.filter(search=search).select_related("finding", "by").first()
    order = ranked_checks(symptom, before, traits) if symptom else []
    outcomes = {one.check_key: one.outcome for one in said}
    now = next_check(symptom, order, outcomes) if symptom else None
    answers = _answers(symptom, order, outcomes, now) if symptom and now else []
    return SearchNow(search, symptom, order, said, now, answers, found, sum(before.values()))


def latest(said: list[FaultOutcome]) -> list[FaultOutcome]:
    """Return the last word on each check, in the order in which they were said."""
    last = {one.check_key: one for one in said}
    return [one for one in said if last[one.check_key] is one]


def _answers(
    symptom: Symptom, order: list[RankedCheck], outcomes: dict[str, str], now: RankedCheck
) -> list[OfferedOutcome]:
    found = []
    for one in now.check.outcomes:
        then = None if one.found else follows(symptom, order, outcomes, now.check, one)
        cause = causes().get(one.found)
        found.append(OfferedOutcome(one.key, one.words, cause, then.check if then else None))
    return found


def symptoms_of(machine: Machine) -> list[Symptom]:
    """Return the symptoms that a machine can show, as it is built and altered; two queries."""
    kinds = [one.kind for one in kinds_of(machine)]
    return symptoms_on(traits_of_machine(machine), kinds)


def parts_for(machine: Machine, cause: FaultCause) -> list[FittingPart]:
    """Return the parts of a make-up that mend a cause, each with what it is."""
    if not cause.place:
        return []
    rows = FittingPart.objects.filter(makeup=machine.makeup_id, place=cause.place)
    return list(rows.select_related("part"))


def services_for(machine: Machine, cause: FaultCause | None) -> QuerySet[Service]:
    """Return the services that take the part which mends a cause: the job with its parts."""
    place = cause.place if cause else ""
    if not place:
        return Service.objects.none()
    recurs = Q(intervals__makeup=machine.makeup_id) | Q(intervals__machine=machine)
    called = Q(called_by_limits__service__intervals__makeup=machine.makeup_id)
    return Service.objects.filter(recurs | called, needs__place=place).distinct().order_by("name")


@dataclass(frozen=True)
class PastRepairs:
    """What was mended on a machine, and on others of its model; what searches found there."""

    own: list[ServiceRecord]
    of_model: list[ServiceRecord]
    found: list[FoundFault]
    seen: list[Finding]


def past_repairs(machine: Machine, symptom: str = "") -> PastRepairs:
    """Return what stands beside a search: four queries."""
    repairs = standing_records().filter(service=None).select_related("machine", "done_by")
    same = repairs.filter(machine__makeup=machine.makeup_id).exclude(machine=machine)
    found = FoundFault.objects.filter(search__machine__makeup=machine.makeup_id)
    if symptom:
        found = found.filter(search__symptom=symptom)
    found = found.exclude(finding__struck=True).select_related("search__machine")
    seen = machine.findings.filter(struck=False).exclude(gravity=Finding.Gravity.NOTE)
    return PastRepairs(
        list(repairs.filter(machine=machine).order_by("-done_at")[:MOST_PAST]),
        list(same.order_by("-done_at")[:MOST_PAST]),
        list(found.order_by("-at")[:MOST_PAST]),
        list(seen.order_by("-seen_at")[:MOST_PAST]),
    )
