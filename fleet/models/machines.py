"""Machines: identity, home, alterations and times in storage."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models.functions import Replace, Upper
from django.urls import reverse

from fleet.identity import normal_serial
from fleet.models.makeups import MakeUp
from fleet.models.people import Person
from fleet.models.places import Yard
from fleet.possible_values import odd_rate

TAG_AS_IN_ADDRESSES = RegexValidator(
    r"\A(?!\.\.?\Z)[^/?#\s\x00-\x1f\x7f-\x9f]"
    r"([^/?#\x00-\x1f\x7f-\x9f\u2028\u2029]*[^/?#\s\x00-\x1f\x7f-\x9f])?\Z",
    "A tag stands in the address of its machine's page: no /, ? or #, no blank at its ends, no end"
    " of a line, and not dots alone.",
)


class Machine(models.Model):
    """One physical unit, known by its fleet tag and its serial number."""

    tag = models.CharField(max_length=20, unique=True, validators=[TAG_AS_IN_ADDRESSES])
    serial = models.CharField(
        max_length=40, blank=True, help_text="VIN, PIN or maker's serial, as on the frame"
    )
    serial_unreadable = models.BooleanField(
        default=False, help_text="the number on the frame can no longer be read"
    )
    plate = models.CharField(
        "number plate", max_length=20, blank=True, help_text="as on the road, where it has one"
    )
    serial_shared = models.BooleanField(
        "serial shared",
        default=False,
        help_text="another machine has the same number, and both plates were looked at",
    )
    makeup = models.ForeignKey(MakeUp, models.PROTECT, related_name="machines")
    yard = models.ForeignKey(Yard, models.PROTECT, related_name="machines")
    year = models.PositiveSmallIntegerField("model year", null=True, blank=True)
    started_on = models.DateField(
        null=True, blank=True, help_text="first day of work; first intervals count from here"
    )
    retired_on = models.DateField(null=True, blank=True)
    retired_why = models.CharField(max_length=200, blank=True, help_text="sold, scrapped, lost")
    merged_into = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, editable=False, related_name="merged",
        help_text="the entry that stays, where one machine stood in the books twice",
    )  # fmt: skip
    day_rate = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, help_text="empty: that of its class"
    )
    duty_factor = models.FloatField(
        default=1,
        validators=[MinValueValidator(0.1), MaxValueValidator(2)],
        help_text="dust, mud, water: 0.5 makes meter intervals half as long",
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["tag"]

    def __str__(self) -> str:
        return self.tag

    def get_absolute_url(self) -> str:
        """The machine's own page."""
        return reverse("machine", args=[self.tag])

    @property
    def price_a_day(self) -> Decimal:
        """What a day of it costs: its own day rate, else that of its class."""
        return self.day_rate or self.makeup.machine_class.day_rate

    def clean(self) -> None:
        """Refuse a serial that another machine has, unless the plates were looked at."""
        if self.day_rate is not None and (oddity := odd_rate(float(self.day_rate))):
            raise ValidationError(oddity.sentence)
        if self.serial_shared or self.merged_into_id:
            return
        if other := of_same_serial(self.serial, but=self.pk):
            raise ValidationError(
                f"{other.tag} has the serial {other.serial} already. If it is one machine entered"
                f" twice, merge the two on the page of {other.tag}; if the plates really say the"
                " same, tick that the serial is shared."
            )


def of_same_serial(serial: str, *, but: int | None = None) -> Machine | None:
    """Return a machine with this serial, in whatever case, with whatever blanks and dashes.

    but: the key of a machine that is left out.  An entry that was merged into another is none.
    """
    wanted = normal_serial(serial)
    if not wanted:
        return None
    bare: models.F | Replace = models.F("serial")
    for sign in (" ", "-", ".", "/", "_"):
        bare = Replace(bare, models.Value(sign), models.Value(""))
    rows = Machine.objects.filter(merged_into=None).annotate(bare=Upper(bare)).filter(bare=wanted)
    others = rows if but is None else rows.exclude(pk=but)
    return others.order_by("tag").first()


class Alteration(models.Model):
    """How a machine differs from its make-up: what was changed, and which service it slows."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="alterations")
    fitted_on = models.DateField(null=True, blank=True)
    text = models.CharField(max_length=200)
    slows = models.ForeignKey(
        "fleet.Service", models.PROTECT, null=True, blank=True, related_name="slowed_by"
    )
    extra_minutes = models.PositiveSmallIntegerField(default=0)
    build = models.CharField(
        "makes it", max_length=60, blank=True, default="",
        help_text="the build that it has since, where its make-up has another",
    )  # fmt: skip
    noted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True)
    noted_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.text


class Storage(models.Model):
    """Days on which a machine stands stored: its meter rests, its calendar does not."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="storages")
    first_day = models.DateField()
    last_day = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        verbose_name_plural = "storage periods"
        ordering = ["first_day"]

    def __str__(self) -> str:
        return f"{self.machine}: stored from {self.first_day}"
