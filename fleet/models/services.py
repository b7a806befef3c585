"""Services (pieces of maintenance) and the intervals at which they recur."""

from secrets import token_hex
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.makeup_traits import codes_in
from fleet.models.machines import Machine
from fleet.models.makeups import MakeUp, MeterKind
from fleet.models.people import Skill
from fleet.models.step_pictures import StepPicture


class Caution(models.Model):
    """Cautions: signal word in its ANSI Z535 meaning, text, and where it comes from."""

    class Signal(models.TextChoices):
        """Signal words of ANSI Z535, most serious first."""

        DANGER = "danger", "DANGER"
        WARNING = "warning", "WARNING"
        CAUTION = "caution", "CAUTION"
        NOTICE = "notice", "NOTICE"

    code = models.SlugField(unique=True)
    signal = models.CharField(max_length=8, choices=Signal)
    text = models.CharField(max_length=300)
    source = models.CharField(max_length=160, help_text="standard, section, year; or how we know")

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.get_signal_display()}: {self.text}"


class SetUp(models.Model):
    """What has to be got ready once for a visit, however many services need it: a lift, a drain."""

    name = models.CharField(max_length=40, unique=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    cost = models.FloatField(default=0)

    class Meta:
        verbose_name = "set-up"

    def __str__(self) -> str:
        return self.name


class Service(models.Model):
    """A named piece of maintenance: minutes, skill, steps, cautions, parts."""

    code = models.SlugField(unique=True)
    name = models.CharField(max_length=80)
    minutes = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    cautions = models.ManyToManyField(Caution, blank=True)
    set_ups = models.ManyToManyField(SetUp, blank=True)
    follows = models.ManyToManyField(
        "self", symmetrical=False, blank=True, related_name="followed_by",
        help_text="done after these where both are to be done: the road test after the brakes",
    )  # fmt: skip
    apart_from = models.ManyToManyField(
        "self", blank=True, help_text="never in one visit with these: a wash and an open engine"
    )
    second_minutes = models.PositiveSmallIntegerField(
        "minutes of a second person", default=0, help_text="0: one person does it alone"
    )
    second_skill = models.ForeignKey(
        Skill, models.PROTECT, null=True, blank=True, related_name="+",
        help_text="of the second person; empty: anybody of the shop",
    )  # fmt: skip
    second_for = models.CharField(
        max_length=80,
        blank=True,
        help_text="what the second person does: stand at the lowering valve",
    )
    several_days = models.BooleanField(
        default=False,
        help_text="may be longer than a working day: goes on day after day, the machine in its bay",
    )
    blocks_rental = models.BooleanField(
        default=True, help_text="a machine may not go out with this overdue"
    )
    overdue_cost_per_day = models.FloatField(
        default=10, validators=[MinValueValidator(0)], help_text="wear and risk of a day late"
    )
    value = models.FloatField(
        default=100,
        validators=[MinValueValidator(0)],
        help_text="what one such service costs; doing it early throws a share away",
    )
    invented = models.BooleanField(default=False, help_text="of the demo; not for real machines")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ServiceStep(models.Model):
    """One step of a procedure: what kind it is, what is done, and on which build.

    Numbers are not written into the text: {quantity}, {first}, {rest} and {grade} stand for those
    of the make-up's fluid, {part} for its part at `place`, {figure} for its figure of that name.
    """

    class Kind(models.TextChoices):
        """What a step asks of the person who does it."""

        DO = "do", "do"
        CHECK = "check", "check: good, needs attention, stop the machine"
        MEASURE = "measure", "measure"
        FILL = "fill", "fill"
        FASTEN = "fasten", "fasten"
        CAUTION = "caution", "caution"
        PHOTO = "photo", "photo"

    service = models.ForeignKey(Service, models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    key = models.SlugField(
        max_length=60,
        blank=True,
        editable=False,
        help_text="its name, however often it is reworded",
    )
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.DO)
    text = models.CharField(max_length=300)
    tool = models.CharField(max_length=60, blank=True, help_text="with its size: 17 mm socket")
    only_on = models.CharField(
        "only on", max_length=200, blank=True, help_text="the builds on which it is done"
    )
    caution = models.ForeignKey(
        Caution, models.PROTECT, null=True, blank=True, related_name="steps",
        help_text="the caution for this step",
    )  # fmt: skip
    place = models.CharField(
        max_length=60, blank=True, help_text="as in the make-up: engine oil, oil filter"
    )
    share = models.FloatField(
        default=1, validators=[MinValueValidator(0)], help_text="of what the make-up holds"
    )
    first_share = models.FloatField(
        "share filled first", null=True, blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
        help_text="the rest after a run and a look; empty: all at once",
    )  # fmt: skip
    measures = models.CharField(
        max_length=80, blank=True, help_text="what to measure, by its name below"
    )
    figure = models.CharField(
        max_length=80, blank=True, help_text="what the manual gives: drain plug torque"
    )
    turning_order = models.CharField(
        "in what order", max_length=80, blank=True, help_text="crosswise, in three rounds"
    )
    required = models.BooleanField(default=False, help_text="not finished without it")
    source = models.CharField(
        max_length=160, blank=True, help_text="law, standard or manual; or common practice"
    )
    drawing = models.CharField(
        max_length=60, blank=True, help_text="of the library, by its name; empty: none"
    )
    picture = models.ForeignKey(
        StepPicture, models.PROTECT, null=True, blank=True, related_name="steps",
        help_text="the shop's own, in place of the drawing",
    )  # fmt: skip

    class Meta:
        ordering = ["service", "position"]
        constraints = [
            models.UniqueConstraint(fields=["service", "position"], name="one_step_a_position"),
            models.UniqueConstraint(
                fields=["service", "key"], condition=~models.Q(key=""), name="one_step_a_key"
            ),
        ]

    def __str__(self) -> str:
        return self.text

    def save(self, *args: Any, **more: Any) -> None:
        """Give a step that the shop thought of a name of its own."""
        self.key = self.key or f"own-{token_hex(4)}"
        super().save(*args, **more)

    def clean(self) -> None:
        """Refuse a build that is none, and a step that lacks what its kind is about."""
        try:
            codes_in(self.only_on)
        except ValueError as no:
            raise ValidationError({"only_on": str(no)}) from None
        if self.kind == self.Kind.FILL and not self.place:
            raise ValidationError({"place": "Say what is filled, as the make-up calls it."})
        if self.kind == self.Kind.MEASURE and not self.measures:
            raise ValidationError({"measures": "Say what is measured."})
        if self.kind == self.Kind.CAUTION and not self.caution_id:
            raise ValidationError({"caution": "Choose the caution."})


class ServiceNeed(models.Model):
    """What a service takes from the shelf, by place; the make-up says which part and how much."""

    service = models.ForeignKey(Service, models.CASCADE, related_name="needs")
    place = models.CharField(max_length=60, help_text="as in the make-up: engine oil, oil filter")
    share = models.FloatField(
        default=1, validators=[MinValueValidator(0)], help_text="of the capacity or quantity"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["service", "place"], name="one_need_a_place")
        ]

    def __str__(self) -> str:
        return self.place


class Limit(models.Model):
    """What to measure at a service, and between which bounds it must lie.

    One without a make-up holds for every make-up that has none of its own of that name.  Without
    bounds it still says what is measured: its bounds are asked for from each machine's manual.
    """

    service = models.ForeignKey(Service, models.CASCADE, related_name="limits")
    makeup = models.ForeignKey(
        MakeUp, models.CASCADE, null=True, blank=True, help_text="empty: every make-up"
    )
    name = models.CharField(max_length=80)
    unit = models.CharField(max_length=16, blank=True)
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    possible_low = models.FloatField(
        "least that can be", null=True, blank=True, help_text="below it the value is refused"
    )
    possible_high = models.FloatField(
        "most that can be", null=True, blank=True, help_text="above it the value is refused"
    )
    places = models.CharField(
        "where", max_length=160, blank=True,
        help_text="each measured alone, with commas: front left, front right; empty: once",
    )  # fmt: skip
    safety = models.BooleanField(
        "for safety", default=False, help_text="outside it the machine is not safe"
    )
    source = models.CharField(
        max_length=160, blank=True, help_text="page of the manual, law or standard"
    )
    then = models.ForeignKey(
        Service,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="called_by_limits",
        help_text="service that falls due when the limit, or its trend, is met",
    )

    def __str__(self) -> str:
        return self.name

    @property
    def known(self) -> bool:
        """Whether it has a bound to be held against."""
        return self.low is not None or self.high is not None

    @property
    def each_place(self) -> tuple[str, ...]:
        """Where it is measured, place by place; none where once is enough."""
        return tuple(place for word in self.places.split(",") if (place := word.strip()))

    def clean(self) -> None:
        """Refuse bounds that cross, or none at all."""
        bounds = (self.low, self.high, self.possible_low, self.possible_high)
        if all(bound is None for bound in bounds):
            raise ValidationError("Give a lower or an upper bound, or both.")
        if self.low is not None and self.high is not None and self.high < self.low:
            raise ValidationError({"high": "The upper bound is below the lower."})
        least, most = self.possible_low, self.possible_high
        if least is not None and most is not None and most < least:
            raise ValidationError({"possible_high": "That is below the least that can be."})


class Anchor(models.TextChoices):
    """How the next due point follows from the last service; published rules differ."""

    FROM_SERVICE = "service", "from the service"
    FROM_DUE_POINT = "due", "from the due point"
    KEEP_UNLESS_EARLY = "keep", "from the due point, unless done before its window"
    KEEP_WITHIN_WINDOW = "window", "from the due point if inside its window"


class Interval(models.Model):
    """When a service recurs on a make-up, or on one machine: by meter, calendar, season.

    Meter quantities are in hours, metres or cycles.  With several sides the first to come is due.
    A machine's own interval takes the place of its make-up's for the same service.
    """

    service = models.ForeignKey(Service, models.CASCADE, related_name="intervals")
    makeup = models.ForeignKey(
        MakeUp, models.CASCADE, null=True, blank=True, related_name="intervals"
    )
    machine = models.ForeignKey(
        Machine, models.CASCADE, null=True, blank=True, related_name="intervals"
    )
    meter_kind = models.CharField(max_length=8, choices=MeterKind, blank=True)
    every = models.FloatField("every, on the meter", null=True, blank=True)
    first_at = models.FloatField("first at, on the meter", null=True, blank=True)
    every_months = models.PositiveSmallIntegerField(null=True, blank=True)
    every_days = models.PositiveSmallIntegerField(null=True, blank=True)
    first_months = models.PositiveSmallIntegerField(null=True, blank=True)
    first_days = models.PositiveSmallIntegerField(null=True, blank=True)
    season_month = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    season_day = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(31)]
    )
    idle_months = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="out of service this long: due before it goes back to work"
    )
    early = models.FloatField("early, on the meter", null=True, blank=True)
    late = models.FloatField("late, on the meter", null=True, blank=True)
    early_percent = models.FloatField(null=True, blank=True)
    late_percent = models.FloatField(null=True, blank=True)
    meter_cap = models.FloatField("percent at most, on the meter", null=True, blank=True)
    early_days = models.PositiveSmallIntegerField(null=True, blank=True)
    late_days = models.PositiveSmallIntegerField(null=True, blank=True)
    days_cap = models.PositiveSmallIntegerField("percent at most, days", null=True, blank=True)
    anchor = models.CharField(max_length=8, choices=Anchor, default=Anchor.FROM_SERVICE)
    end_of_month = models.BooleanField(
        default=False, help_text="runs to the last day of the month, as in 14 CFR 91.409(a)"
    )
    hard = models.BooleanField(
        default=False, help_text="set by law or standard: past its window it may not go out"
    )
    source = models.CharField(
        max_length=160, blank=True, help_text="page of the manual, law or standard"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(makeup=None) ^ models.Q(machine=None),
                name="interval_of_a_make_up_or_a_machine",
                violation_error_message="Choose a make-up or one machine, not both.",
            ),
            models.UniqueConstraint(
                fields=["service", "makeup"],
                condition=models.Q(makeup__isnull=False),
                name="one_interval_of_a_service_on_a_make_up",
            ),
            models.UniqueConstraint(
                fields=["service", "machine"],
                condition=models.Q(machine__isnull=False),
                name="one_interval_of_a_service_on_a_machine",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.service} on {self.makeup or self.machine}"

    def clean(self) -> None:
        """Refuse an interval that never falls due, and sides that lack their half."""
        if bool(self.meter_kind) != (self.every is not None):
            raise ValidationError("Give both the kind of meter and how often on it, or neither.")
        if bool(self.season_month) != bool(self.season_day):
            raise ValidationError("A season needs both its month and its day.")
        if self.every is not None and self.every <= 0:
            raise ValidationError({"every": "How often must be more than zero."})
        if self.every_months and self.every_days:
            raise ValidationError("Give months or days on the calendar, not both.")
        sides = (
            self.every,
            self.every_months,
            self.every_days,
            self.season_month,
            self.idle_months,
        )
        if not any(sides):
            raise ValidationError("Say when it recurs: on a meter, on the calendar or by a season.")
