"""All that the manager's page shows of one shop, gathered with a constant number of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from fleet.charts import MonthShare, Week
from fleet.models import Machine, ReadingToMend, Shop
from fleet.queries.costs import Costs, costs
from fleet.saying import counted
from scheduling.models import NightlyRun, Plan, State
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.fleet_state import state_counts, working
from scheduling.queries.overdue_services import Overdue, overdue
from scheduling.queries.plan_needs import PlanNeeds, plan_needs
from scheduling.queries.range_record import RangeRecord, range_record
from scheduling.queries.risk_advice import AtRisk, at_risk
from scheduling.queries.services_on_time import compliance, counted_since
from scheduling.queries.work_weeks import work_weeks

A_WEEK, A_YEAR = timedelta(days=7), timedelta(days=365)


@dataclass(frozen=True)
class YardPage:
    """One shop on one day.

    at_risk: bookings of the plan's days that something stands against, soonest first.
    """

    shop: Shop
    today: date
    counts: Mapping[str, int]
    at_risk: Sequence[AtRisk]
    overdue: Sequence[Overdue]
    weeks: Sequence[Week]
    months: Sequence[MonthShare]
    dates: RangeRecord
    costs: Costs
    to_mend: int
    last_run: NightlyRun | None
    plan: Plan | None
    needs: PlanNeeds

    @property
    def machines(self) -> int:
        """How many machines work."""
        return sum(self.counts.values())

    @property
    def counted_since(self) -> date | None:
        """From which day services done in time are counted."""
        return counted_since(self.last_run)

    @property
    def at_risk_this_week(self) -> int:
        """How many bookings that are out, or go out within seven days, are at risk."""
        soon = self.today + A_WEEK
        return sum(entry.booking.first_day < soon for entry in self.at_risk)

    @property
    def calm(self) -> bool:
        """Whether nothing is overdue, held or at risk."""
        return not (self.counts[State.OVERDUE] or self.counts[State.HELD] or self.at_risk_this_week)

    @property
    def say_overdue(self) -> str:
        """Say how many machines are overdue: "3 machines overdue"."""
        return f"{counted(self.counts[State.OVERDUE], 'machine')} overdue"

    @property
    def say_held(self) -> str:
        """Say how many machines are held: "2 held"."""
        return f"{self.counts[State.HELD]} held"

    @property
    def say_at_risk(self) -> str:
        """Say how many bookings are at risk: "4 bookings at risk"."""
        return f"{counted(self.at_risk_this_week, 'booking')} at risk"


def yard_page(shop: Shop, now: datetime) -> YardPage:
    """Gather a shop's page."""
    today = now.astimezone(shop.zone).date()
    machines = Machine.objects.filter(yard__shop=shop)
    ahead = today + timedelta(days=shop.horizon_days)
    risks = risks_of(open_bookings(shop, today).filter(first_day__lte=ahead), today)
    return YardPage(
        shop=shop,
        today=today,
        counts=state_counts(machines),
        at_risk=at_risk(risks, today),
        overdue=overdue(shop, risks, today),
        weeks=work_weeks(shop, today),
        months=compliance(shop, now),
        dates=range_record(shop, now),
        costs=costs(working(machines).select_related("makeup__machine_class", "now"), now - A_YEAR),
        to_mend=to_mend(shop),
        last_run=NightlyRun.objects.filter(shop=shop, finished_at__isnull=False).first(),
        plan=Plan.objects.filter(shop=shop).first(),
        needs=plan_needs(shop, today),
    )


def to_mend(shop: Shop) -> int:
    """Return how many readings wait for a person: those of the shop, and those of no machine."""
    ours = Q(machine__yard__shop=shop) | Q(machine=None)
    return ReadingToMend.objects.filter(ours, mended_at=None).count()
