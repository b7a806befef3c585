"""Meters, what they showed, and readings that wait to be mended.

Life is a machine's total use on one kind of meter across swaps and rollovers:
    life(value) = base(meter) + value - first_value(meter)
    base(first meter) = life_at_fitting, or first_value where that is not known
    base(next meter)  = base(previous) + last_value(previous) - first_value(previous)
A rollover is kept as the end of one meter row and the start of the next.
"""

from django.db import models

from fleet.models.machines import Machine
from fleet.models.makeups import MeterKind
from fleet.models.people import Person


class StandingMeters(models.Manager["Meter"]):
    """The meters that were really fitted, as far as is known."""

    def get_queryset(self) -> models.QuerySet["Meter"]:
        """Leave out those of a swap that was undone, so that no query counts them by mistake."""
        return super().get_queryset().filter(struck_at=None)


class Meter(models.Model):
    """An hour meter, odometer or cycle counter fitted to a machine from one time to another.

    `objects`, and `meters` of a machine, are those that stand; `every` are all, those of an undone
    swap too.
    """

    class Ending(models.TextChoices):
        """Why a meter's row ends."""

        SWAPPED = "swapped", "swapped"
        ROLLED_OVER = "rolled", "rolled over"

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="meters")
    kind = models.CharField(max_length=8, choices=MeterKind)
    fitted_at = models.DateTimeField()
    first_value = models.FloatField(default=0, help_text="what it showed when fitted")
    life_at_fitting = models.FloatField(
        null=True, blank=True, help_text="total use by then, where known; first meter alone"
    )
    removed_at = models.DateTimeField(null=True, blank=True)
    last_value = models.FloatField(null=True, blank=True)
    ending = models.CharField(max_length=8, choices=Ending, blank=True)
    rolls_over_at = models.FloatField(null=True, blank=True)
    noted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True)
    came_with = models.ForeignKey(
        "Reading", models.PROTECT, null=True, blank=True, related_name="brought",
        help_text="the reading that was answered by its fitting, and is undone with it",
    )  # fmt: skip
    struck_at = models.DateTimeField(
        null=True, blank=True, help_text="when its fitting was undone: it never was on the machine"
    )
    struck_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    struck_why = models.CharField(max_length=200, blank=True)

    objects = StandingMeters()
    every = models.Manager["Meter"]()

    class Meta:
        ordering = ["machine", "kind", "fitted_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "kind"],
                condition=models.Q(removed_at=None, struck_at=None),
                name="one_meter_of_a_kind_at_a_time",
            ),
            models.UniqueConstraint(
                fields=["machine", "kind", "fitted_at"],
                condition=models.Q(struck_at=None),
                name="one_fitting_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.machine} {self.get_kind_display().lower()}"


class Source(models.TextChoices):
    """Where a reading came from."""

    COUNTER = "counter", "counter"
    BENCH = "bench", "bench"
    ROUND = "round", "meter round"
    FILE = "file", "file"
    FEED = "feed", "telematics"
    SET_UP = "setup", "set-up"


class Reading(models.Model):
    """What a meter showed at a time.  Never changed: a correction is a new reading."""

    meter = models.ForeignKey(Meter, models.PROTECT, related_name="readings")
    read_at = models.DateTimeField()
    value = models.FloatField(help_text="hours, metres or cycles")
    source = models.CharField(max_length=8, choices=Source)
    read_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True)
    entered_at = models.DateTimeField()
    really_so = models.BooleanField(
        default=False, help_text="odd, and confirmed by the person who read it"
    )
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    void = models.BooleanField(
        default=False, help_text="a correction that says: this meter never showed that"
    )
    note = models.CharField(max_length=200, blank=True)
    form_key = models.CharField(
        max_length=40,
        null=True,
        blank=True,
        unique=True,
        help_text="made with the form, so that a form sent twice is one reading",
    )

    class Meta:
        ordering = ["meter", "read_at"]
        indexes = [models.Index(fields=["meter", "read_at"], name="reading_by_meter_and_time")]
        constraints = [
            models.UniqueConstraint(
                fields=["meter", "read_at", "value"],
                condition=models.Q(corrects=None),
                name="same_reading_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.meter}: {self.value:g} at {self.read_at:%Y-%m-%d %H:%M}"


class ReadingToMend(models.Model):
    """A reading that validation refused: nothing is dropped, a person decides."""

    fingerprint = models.CharField(
        max_length=64, unique=True, help_text="the same row refused twice is one row"
    )
    machine_text = models.CharField(max_length=80, blank=True)
    meter_text = models.CharField(max_length=40, blank=True)
    read_at_text = models.CharField(max_length=80, blank=True)
    value_text = models.CharField(max_length=80, blank=True)
    raw = models.TextField(blank=True, help_text="the whole row as it came")
    source = models.CharField(max_length=8, choices=Source)
    file_name = models.CharField(max_length=200, blank=True)
    line = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=24)
    sentence = models.CharField(max_length=400)
    machine = models.ForeignKey(
        Machine, models.PROTECT, null=True, blank=True, related_name="readings_to_mend"
    )
    entered_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    entered_at = models.DateTimeField()
    mended_at = models.DateTimeField(null=True, blank=True)
    mended_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    mended_as = models.ForeignKey(Reading, models.PROTECT, null=True, blank=True)
    mended_note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "readings to mend"
        ordering = ["-entered_at", "line"]

    def __str__(self) -> str:
        return self.sentence
