"""Due points, machine states, and what was learnt of a fleet's use.  All can be rebuilt."""

from django.db import models

from fleet.models import Interval, Machine, MeterKind, Service, Shop
from fleet.work_keys import service_key


class State(models.TextChoices):
    """State words, worst last; held is a person's order, the rest follow from due points."""

    UNKNOWN = "unknown", "not known"
    CLEAR = "clear", "clear"
    COMING_DUE = "coming", "coming due"
    DUE = "due", "due"
    OVERDUE = "overdue", "overdue"
    HELD = "held", "held"


class DuePoint(models.Model):
    """The meter value and the date at which one service of one machine is next due.

    Lives are a machine's total use (hours, metres, cycles).  p10, p50 and p90 are dates of the
    yard at which the first of its sides is reached with that chance; empty: beyond 120 days.
    """

    class Driver(models.TextChoices):
        """Which side comes first."""

        METER = "meter", "meter"
        CALENDAR = "calendar", "calendar"
        SEASON = "season", "season"
        IDLE = "idle", "out of service"
        FINDING = "finding", "finding"
        TREND = "trend", "measured wear"
        NEVER = "never", "never yet done"

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="due_points")
    service = models.ForeignKey(Service, models.CASCADE, related_name="+")
    interval = models.ForeignKey(Interval, models.CASCADE, null=True, related_name="+")
    state = models.CharField(max_length=8, choices=State, default=State.UNKNOWN)
    driver = models.CharField(max_length=8, choices=Driver, blank=True)
    hard = models.BooleanField(default=False)
    never_done = models.BooleanField(default=False)
    last_done_on = models.DateField(null=True)
    meter_kind = models.CharField(max_length=8, choices=MeterKind, blank=True)
    life_now = models.FloatField(null=True, help_text="at the last trusted reading")
    read_on = models.DateField(null=True, help_text="day of the last trusted reading")
    due_life = models.FloatField(null=True)
    opens_life = models.FloatField(null=True)
    closes_life = models.FloatField(null=True)
    remaining = models.FloatField(null=True, help_text="due_life less life_now; below 0: past it")
    due_day = models.DateField(null=True, help_text="of the calendar sides alone")
    opens_day = models.DateField(null=True)
    closes_day = models.DateField(null=True)
    p10 = models.DateField(null=True)
    p50 = models.DateField(null=True)
    p90 = models.DateField(null=True)
    chance_due = models.FloatField(null=True, help_text="that it is due by the end of today")
    chance_overdue = models.FloatField(null=True, help_text="that its window is past today")
    rate_per_day = models.FloatField(null=True, help_text="mean use on its meter")
    why = models.CharField(max_length=500, blank=True, help_text="the sentence beside the date")

    class Meta:
        ordering = ["machine", "p50"]
        constraints = [
            models.UniqueConstraint(fields=["machine", "service"], name="one_due_point_a_service")
        ]
        indexes = [models.Index(fields=["state"], name="due_point_by_state")]

    def __str__(self) -> str:
        return f"{self.machine}: {self.service} {self.state}"

    @property
    def work_key(self) -> str:
        """The name of this work that outlives every rebuild."""
        return service_key(self.machine_id, self.service_id)


class MachineState(models.Model):
    """A machine's state: the worst of its due points, or held; and the one thing to know."""

    machine = models.OneToOneField(Machine, models.CASCADE, related_name="now")
    state = models.CharField(max_length=8, choices=State, default=State.UNKNOWN)
    headline = models.CharField(max_length=200, blank=True, help_text="due in 6 days, 23 h left")
    due_point = models.ForeignKey(DuePoint, models.SET_NULL, null=True, related_name="+")
    next_due = models.DateField(null=True, help_text="median of the first service to fall due")
    missing = models.CharField(
        max_length=200, blank=True, help_text="what is lacking: no reading, no interval ..."
    )
    computed_for = models.DateField(help_text="the yard's day that this holds for")
    reading_kind = models.CharField(
        max_length=8, choices=MeterKind, blank=True, help_text="meter that is most worth reading"
    )
    reading_gain = models.FloatField(
        default=0, help_text="days by which a reading today would narrow a service's range"
    )
    reading_why = models.CharField(max_length=200, blank=True, help_text="why it should be read")

    def __str__(self) -> str:
        return f"{self.machine}: {self.get_state_display()}"


class UseModel(models.Model):
    """What a shop's fleet taught about use on one kind of meter; refreshed every night.

    payload: the core's FleetModel as plain JSON.
    """

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="use_models")
    kind = models.CharField(max_length=8, choices=MeterKind)
    fitted_for = models.DateField()
    payload = models.JSONField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["shop", "kind"], name="one_use_model_a_shop_and_kind")
        ]

    def __str__(self) -> str:
        return f"{self.shop} {self.kind}"
