"""All that the manager's page shows of one shop, gathered with a constant number of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from fleet.charts import MonthShare
from fleet.models import Machine, ReadingToMend, Shop
from fleet.queries.costs import Costs, costs
from fleet.saying import counted
from scheduling.models import NightlyRun, Plan, State
from scheduling.queries.bookings_at_risk import Risk, barred, open_bookings, risks_of
from scheduling.queries.fleet_state import state_counts, working
from scheduling.queries.given_up import still_given_up
from scheduling.queries.keeps_up import keeps_up
from scheduling.queries.known_machines import KnownMachines
from scheduling.queries.narrowed_yard import YardNarrowing
from scheduling.queries.overdue_services import OverdueMachine, overdue, overdue_machines
from scheduling.queries.plan_needs import PlanNeeds, plan_needs
from scheduling.queries.range_record import RangeRecord, record_of
from scheduling.queries.risk_advice import at_risk
from scheduling.queries.risk_groups import RiskGroups, risk_groups
from scheduling.queries.services_on_time import compliance, counted_since

A_YEAR = timedelta(days=365)


@dataclass(frozen=True)
class YardPage:
    """One shop on one day.

    at_risk: bookings of the plan's days that something stands against, by what is to decide.
    overdue: machines with overdue services, the worst first.  given_up: bookings of the whole shop,
    however the page is narrowed down.
    """

    shop: Shop
    today: date
    counts: Mapping[str, int]
    at_risk: RiskGroups
    overdue: Sequence[OverdueMachine]
    months: Sequence[MonthShare]
    dates: RangeRecord
    to_mend: int
    last_run: NightlyRun | None
    plan: Plan | None
    needs: PlanNeeds
    given_up: int = 0

    @property
    def machines(self) -> int:
        """How many machines work."""
        return sum(self.counts.values())

    @property
    def counted_since(self) -> date | None:
        """From which day services done in time are counted."""
        return counted_since(self.last_run)

    @property
    def keeps_up(self) -> str:
        """Say whether the shop keeps up with its work, as Shop days say it too."""
        return keeps_up(self.plan, self.given_up)

    @property
    def calm(self) -> bool:
        """Whether nothing is overdue or held, and no booking wants a way out."""
        return not (self.overdue or self.counts[State.HELD] or self.at_risk.no_way)

    @property
    def say_overdue(self) -> str:
        """Say how many machines are overdue: "3 machines overdue"."""
        return f"{counted(len(self.overdue), 'machine')} overdue"

    @property
    def say_held(self) -> str:
        """Say how many machines are held: "2 held"."""
        return f"{self.counts[State.HELD]} held"

    @property
    def say_at_risk(self) -> str:
        """Say how many bookings want a way out: "4 bookings at risk with no way yet"."""
        said = f"{counted(len(self.at_risk.no_way), 'booking')} at risk with no way yet"
        today = len(self.at_risk.today)
        if not today:
            return said
        if len(self.at_risk.no_way) == 1:
            return f"{said}, going out today"
        return f"{said}, {today} of them going out today"


@dataclass(frozen=True)
class _AtRisk:
    """What stands against a shop's bookings, as found and in its groups; and its plan.

    given_up: bookings without a way that the plan gives up, those that are not wanted too.
    """

    risks: Sequence[Risk]
    groups: RiskGroups
    plan: Plan | None
    given_up: int


def risks_in_groups(shop: Shop, today: date, wanted: YardNarrowing) -> RiskGroups:
    """Return a shop's bookings at risk alone, narrowed down to what is wanted."""
    return _at_risk(shop, today, wanted, KnownMachines(shop)).groups


def _at_risk(shop: Shop, today: date, wanted: YardNarrowing, known: KnownMachines) -> _AtRisk:
    ahead = today + timedelta(days=shop.horizon_days)
    plan = Plan.objects.filter(shop=shop).first()
    lost = still_given_up(plan)
    soon = open_bookings(shop, today).filter(first_day__lte=ahead).select_related(None)
    bookings = list(barred(soon, today, lost))
    known.beside(bookings)
    risks = risks_of(bookings, today)
    given_up = [one for one in bookings if one.pk in lost]
    groups = risk_groups(at_risk(risks, today), given_up, today)
    return _AtRisk(risks, groups.narrowed(wanted.at_risk), plan, groups.given_up)


def yard_page(shop: Shop, now: datetime, wanted: YardNarrowing | None = None) -> YardPage:
    """Gather a shop's page, narrowed down to what is wanted of it."""
    wanted = wanted or YardNarrowing()
    today = now.astimezone(shop.zone).date()
    machines = wanted.machines(Machine.objects.filter(yard__shop=shop))
    known = KnownMachines(shop)
    found = _at_risk(shop, today, wanted, known)
    run = NightlyRun.objects.filter(shop=shop, finished_at__isnull=False).first()
    return YardPage(
        shop=shop,
        today=today,
        counts=state_counts(machines),
        at_risk=found.groups,
        overdue=overdue_machines(wanted.overdue(overdue(shop, found.risks, today, known))),
        months=compliance(shop, now, run),
        dates=record_of(shop, now, run),
        to_mend=to_mend(shop),
        last_run=run,
        plan=found.plan,
        needs=plan_needs(shop, today),
        given_up=found.given_up,
    )


def yard_costs(shop: Shop, now: datetime, wanted: YardNarrowing) -> Costs:
    """Return what a year of a shop's machines cost, of those that are wanted; four queries."""
    machines = working(wanted.machines(Machine.objects.filter(yard__shop=shop)))
    rows = machines.select_related("makeup__machine_class", "now")
    return costs(rows, now - A_YEAR, service=wanted.service)


def to_mend(shop: Shop) -> int:
    """Return how many readings wait for a person: those of the shop, and those of no machine."""
    ours = Q(machine__yard__shop=shop) | Q(machine=None)
    return ReadingToMend.objects.filter(ours, mended_at=None).count()
