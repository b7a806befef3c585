"""Plans: the shop days of a horizon, with their cost and how near the best they are proven."""

from dataclasses import dataclass
from datetime import date

from django.db import models

from fleet.models import Finding, Machine, Person, Service, Shop
from fleet.saying import without_stop
from scheduling.models.due_points import DuePoint

TERM_NAMES = {
    "overdue": "Late work",
    "waste": "Work done early",
    "visit": "Visits",
    "setup": "Set-ups",
    "downtime": "Machines not for hire",
    "trip": "Trips to remote yards",
    "overtime": "Overtime",
    "blocked_booking": "Bookings lost",
    "change": "Changes of the plan",
    "deferral": "Work put beyond the plan",
}
"""Terms of the cost as people call them."""


@dataclass(frozen=True)
class CostLine:
    """One term of a plan's cost: its name, money, and what it is for, in words."""

    name: str
    money: float
    words: str


class Plan(models.Model):
    """The current plan of one shop; each run takes the place of the last."""

    shop = models.OneToOneField(Shop, models.CASCADE, related_name="plan")
    number = models.PositiveIntegerField(default=0, help_text="how often it was written")
    made_at = models.DateTimeField()
    first_day = models.DateField()
    days = models.PositiveSmallIntegerField()
    cost = models.JSONField(default=dict, help_text="term -> money")
    cost_words = models.JSONField(default=dict, blank=True, help_text="term -> what it is for")
    weeks = models.JSONField(
        default=list, blank=True, help_text="what is scarce in each week and worth, in sentences"
    )
    total = models.FloatField(default=0)
    bound = models.FloatField(default=0, help_text="no plan can cost less")
    gap = models.FloatField(default=0, help_text="(total - bound) / total")
    stopped = models.CharField(max_length=20, blank=True)
    facts = models.CharField(
        max_length=64, blank=True, help_text="digest of what was planned; the same: nothing to do"
    )
    missing = models.CharField(
        max_length=1000, blank=True, help_text="no mechanic, no open day ..."
    )
    given_up = models.JSONField(
        default=list, blank=True, help_text="numbers of the bookings that it gives up"
    )
    given_up_as = models.JSONField(
        default=dict, blank=True,
        help_text="booking -> its machine, first and last day (ISO) when it was given up",
    )  # fmt: skip
    late_work = models.PositiveIntegerField(
        null=True, blank=True, help_text="pieces of work after their due date; empty: not counted"
    )
    put_off_work = models.PositiveIntegerField(
        null=True, blank=True, help_text="pieces of work put beyond it; empty: not counted"
    )

    def __str__(self) -> str:
        return f"{self.shop} from {self.first_day}"

    @property
    def could_save(self) -> float:
        """Money that the best possible plan could save at most."""
        return max(0.0, self.total - self.bound)

    @property
    def cost_lines(self) -> list[CostLine]:
        """What the plan costs by term, the dearest first; terms without money are left out."""
        lines = [
            CostLine(
                TERM_NAMES.get(term, term.replace("_", " ")), money, self.cost_words.get(term, "")
            )
            for term, money in self.cost.items()
            if money >= 0.005
        ]
        return sorted(lines, key=lambda line: -line.money)


class PlannedJob(models.Model):
    """The services and repairs to do on one machine in one visit."""

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="jobs")
    machine = models.ForeignKey(Machine, models.CASCADE, related_name="planned_jobs")
    day = models.DateField()
    mechanic = models.ForeignKey(Person, models.CASCADE, related_name="planned_jobs")
    position = models.PositiveSmallIntegerField(default=0, help_text="order within the day")
    minutes = models.PositiveSmallIntegerField(help_text="visit, set-ups and work together")
    last_day = models.DateField(null=True, blank=True, help_text="empty: done on its day")
    by_day = models.JSONField(
        default=dict, blank=True, help_text="day -> minutes, of a job over several days"
    )
    second = models.ForeignKey(
        Person, models.SET_NULL, null=True, blank=True, related_name="helped_jobs"
    )
    second_minutes = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["day", "mechanic", "position"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "machine", "day"], name="one_job_a_visit")
        ]

    def __str__(self) -> str:
        return f"{self.machine} on {self.day}"

    @property
    def ends(self) -> date:
        """The day on which the job is done."""
        return self.last_day or self.day

    def minutes_by_day(self) -> dict[date, int]:
        """Return the minutes that the job takes of its mechanic, by day."""
        if not self.by_day:
            return {self.day: self.minutes}
        return {date.fromisoformat(day): int(taken) for day, taken in self.by_day.items()}

    def minutes_on(self, day: date) -> int:
        """Return the minutes that the job takes of its mechanic on a day."""
        return self.minutes_by_day().get(day, 0)


class PlannedWork(models.Model):
    """One service or repair of a job, or one put beyond the horizon (no job)."""

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="work")
    job = models.ForeignKey(PlannedJob, models.CASCADE, null=True, related_name="work")
    machine = models.ForeignKey(Machine, models.CASCADE, related_name="+")
    work_key = models.CharField(max_length=120)
    service = models.ForeignKey(Service, models.CASCADE, null=True, related_name="+")
    finding = models.ForeignKey(Finding, models.CASCADE, null=True, related_name="+")
    due_point = models.ForeignKey(DuePoint, models.SET_NULL, null=True, related_name="planned")
    minutes = models.PositiveSmallIntegerField(help_text="of work begun: those that are left")
    position = models.PositiveSmallIntegerField(default=0, help_text="order within the job")
    begun = models.BooleanField(default=False, help_text="under way: some of it is done")
    pinned = models.BooleanField(default=False)
    unkept = models.CharField(
        max_length=500, blank=True, help_text="why its pin, limit or frozen place cannot be kept"
    )
    why = models.CharField(max_length=500, blank=True, help_text="why on that day")
    gives = models.JSONField(
        default=list, blank=True, help_text="what would have to give for another day, in sentences"
    )
    put_off: bool = False
    """Whether it was put off since the plan was made; where a query has asked for it."""
    left_since: int | None = None
    """Minutes left, if it was left under way since the plan was made; likewise."""

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "work_key"], name="work_planned_once")
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def title(self) -> str:
        """What is to be done, in words; a finding's without its full stop: more may follow."""
        return str(self.service) if self.service else without_stop(str(self.finding))

    @property
    def second_minutes(self) -> int:
        """Minutes of a second person that this work needs."""
        source = self.service or self.finding
        return source.second_minutes if source else 0

    @property
    def second_for(self) -> str:
        """What the second person does, in words."""
        return (self.service.second_for if self.service else "") or "help with this"
