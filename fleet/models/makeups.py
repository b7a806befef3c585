"""Make-ups: what kind of machine it is, what it holds and which parts fit it."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.makeup_traits import in_a_sentence
from fleet.models.stock import Part
from fleet.possible_values import odd_capacity, odd_rate


class MeterKind(models.TextChoices):
    """What a meter counts; stored in hours, metres and cycles."""

    HOURS = "hours", "Hour meter"
    DISTANCE = "distance", "Odometer"
    CYCLES = "cycles", "Cycle counter"


class RunsOn(models.TextChoices):
    """What a hand-over asks for: fuel in eighths, charge in per cent, or neither."""

    FUEL = "fuel", "fuel"
    CHARGE = "charge", "a battery"
    NONE = "none", "neither"


class MachineClass(models.Model):
    """A class as the counter rents them out: any machine of it will do."""

    name = models.CharField(max_length=60, unique=True)
    day_rate = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    road_vehicle = models.BooleanField(
        default=False, help_text="made for North American roads, so its VIN carries a check digit"
    )
    is_attachment = models.BooleanField(
        "attachment", default=False, help_text="bucket, auger: goes out with a machine"
    )
    turn_round_minutes = models.PositiveSmallIntegerField(
        default=0,
        validators=[MaxValueValidator(24 * 60)],
        help_text="minutes from its return to the next customer: cleaning, fuel, a look round;"
        " counts for what is booked by the hour from then on",
    )

    runs_on = models.CharField(
        "runs on", max_length=6, choices=RunsOn, default=RunsOn.FUEL,
        help_text="what is asked for on going out and coming back",
    )  # fmt: skip
    hours_included = models.FloatField(
        "hours of use a day in the price", null=True, blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(24)],
        help_text="empty: use is not charged",
    )  # fmt: skip
    extra_hour_price = models.DecimalField(
        "price of an hour beyond", max_digits=9, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    fuel_price = models.DecimalField(
        "price of a whole tank or charge", max_digits=9, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0)], help_text="what is missing at its return is charged",
    )  # fmt: skip
    late_day_price = models.DecimalField(
        "price of a day late", max_digits=9, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0)], help_text="for each day begun past its end",
    )  # fmt: skip
    cautions = models.ManyToManyField(
        "fleet.Caution", blank=True, related_name="classes",
        help_text="printed on the slip that the customer signs",
    )  # fmt: skip

    class Meta:
        verbose_name_plural = "machine classes"
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Refuse a day rate below zero."""
        if self.day_rate is not None and (oddity := odd_rate(float(self.day_rate))):
            raise ValidationError(oddity.sentence)


def _is_word(trait: tuple[object, object]) -> bool:
    return all(isinstance(part, str) for part in trait)


class MakeUp(models.Model):
    """A kind of machine: class, maker and model text, model years."""

    machine_class = models.ForeignKey(MachineClass, models.PROTECT, related_name="makeups")
    maker = models.CharField(max_length=60)
    model = models.CharField(max_length=60)
    first_year = models.PositiveSmallIntegerField(null=True, blank=True)
    last_year = models.PositiveSmallIntegerField(null=True, blank=True)
    manual = models.CharField(
        max_length=160, blank=True, help_text="where the machine's own manual is kept"
    )
    traits = models.JSONField(
        "build", default=dict, blank=True, help_text="trait -> build, by `fleet.makeup_traits`"
    )

    class Meta:
        ordering = ["machine_class__name", "maker", "model"]
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "model", "first_year"], name="one_make_up_of_model_and_year"
            ),
            models.UniqueConstraint(
                fields=["maker", "model"],
                condition=models.Q(first_year=None),
                name="one_make_up_of_a_model_without_year",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.model}"

    def get_traits_display(self) -> str:
        """Say how it is built, as the change log keeps it."""
        return in_a_sentence(self.traits)

    def clean(self) -> None:
        """Refuse model years that run backwards, and a build that says no traits."""
        if self.traits is None:
            self.traits = {}
        if not (
            isinstance(self.traits, dict) and all(_is_word(one) for one in self.traits.items())
        ):
            raise ValidationError({"traits": "Write traits with their builds, as words."})
        if self.first_year and self.last_year and self.last_year < self.first_year:
            raise ValidationError({"last_year": "The last model year is before the first."})


class MakeUpMeter(models.Model):
    """A kind of meter that every machine of a make-up carries."""

    makeup = models.ForeignKey(MakeUp, models.CASCADE, related_name="meters")
    kind = models.CharField(max_length=8, choices=MeterKind)
    rolls_over_at = models.FloatField(
        null=True, blank=True, help_text="hours, metres or cycles at which it starts again at 0"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["makeup", "kind"], name="one_meter_of_a_kind")
        ]

    def __str__(self) -> str:
        return self.get_kind_display()


class Fluid(models.Model):
    """A fluid that a make-up holds: place, grade, capacity."""

    makeup = models.ForeignKey(MakeUp, models.CASCADE, related_name="fluids")
    place = models.CharField(max_length=60, help_text="engine oil, coolant, hydraulic oil ...")
    grade = models.CharField(max_length=60, blank=True)
    capacity_ml = models.FloatField("capacity, mL", validators=[MinValueValidator(0)])
    part = models.ForeignKey(
        Part, models.PROTECT, null=True, blank=True, help_text="the fluid as it stands on the shelf"
    )

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["makeup", "place"], name="one_fluid_a_place")
        ]

    def __str__(self) -> str:
        return f"{self.place} {self.grade}".strip()

    def clean(self) -> None:
        """Refuse a capacity of nothing."""
        if self.capacity_ml is not None and (oddity := odd_capacity(self.capacity_ml)):
            raise ValidationError(oddity.sentence)


class FittingPart(models.Model):
    """A part that fits a make-up at a place: oil filter, air filter, belt."""

    makeup = models.ForeignKey(MakeUp, models.CASCADE, related_name="fitting_parts")
    place = models.CharField(max_length=60)
    part = models.ForeignKey(Part, models.PROTECT, related_name="fits")
    instead = models.ForeignKey(
        Part, models.PROTECT, null=True, blank=True, related_name="+",
        help_text="what does in its place where it is not on the shelf",
    )  # fmt: skip
    quantity = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["makeup", "place", "part"], name="one_part_a_place")
        ]

    def __str__(self) -> str:
        return f"{self.place}: {self.part}"


class MakeUpFigure(models.Model):
    """A number of a make-up from its manual: a torque, a gap, a pressure, a direction of turning.

    value: in `unit`; words: where no number says it (anti-clockwise to loosen the clutch).
    """

    makeup = models.ForeignKey(MakeUp, models.CASCADE, related_name="figures")
    name = models.CharField(max_length=80, help_text="as the steps name it: drain plug torque")
    value = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=16, blank=True)
    words = models.CharField(max_length=80, blank=True)
    source = models.CharField(max_length=160, blank=True, help_text="page of the manual")

    class Meta:
        verbose_name = "figure"
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["makeup", "name"], name="one_figure_of_a_name")
        ]

    def __str__(self) -> str:
        said = self.words if self.value is None else f"{self.value:g} {self.unit}"
        return f"{self.name}: {said.strip()}"

    def clean(self) -> None:
        """Refuse a figure that says nothing."""
        if self.value is None and not self.words:
            raise ValidationError("Give the number, or say it in words.")
