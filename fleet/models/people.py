"""People: role, skills and how long they hold them, hours, absences."""

from typing import Any

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.crypto import salted_hmac

from fleet.models.places import BACKWARDS, WEEKDAY_CHOICES, Shop, Yard


class Role(models.TextChoices):
    """What a person is here for; it decides which page they land on and what they may do."""

    OWNER = "owner", "Owner"
    MANAGER = "manager", "Fleet manager"
    DESK = "desk", "Rental desk"
    MECHANIC = "mechanic", "Mechanic"
    HAND = "hand", "Ranch hand"


class Tongue(models.TextChoices):
    """Languages of the site, each in its own words."""

    ENGLISH = "en", "English"
    SPANISH = "es", "Español"


MANAGING = (Role.OWNER, Role.MANAGER)
"""Roles that manage the fleet: the owner all of it, a manager what is of their shop."""


class Skill(models.Model):
    """What a mechanic can do: general, hydraulic, electrical, inspector."""

    name = models.CharField(max_length=60, unique=True)
    by_certificate = models.BooleanField(
        default=False,
        help_text="an inspection by a qualified person: only who holds it on the day may finish it",
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Person(AbstractUser):
    """One person who signs in, or a lent hand who does not.

    signed_out_times: how often they were signed out everywhere; all sessions hang on it.
    """

    role = models.CharField(max_length=12, choices=Role, default=Role.MECHANIC)
    shop = models.ForeignKey(Shop, models.PROTECT, null=True, blank=True, related_name="people")
    home_yard = models.ForeignKey(
        Yard, models.PROTECT, null=True, blank=True, related_name="people",
        verbose_name="own yard", help_text="a ranch hand's meter round begins there",
    )  # fmt: skip
    signed_out_times = models.PositiveIntegerField(default=0, editable=False)
    skills = models.ManyToManyField(
        Skill, through="fleet.Qualification", blank=True, related_name="people"
    )
    sees_too = models.JSONField(
        default=list,
        editable=False,
        help_text="numbers of other shops at which they may look, and change nothing",
    )
    language = models.CharField(
        max_length=8,
        choices=Tongue,
        blank=True,
        default="",
        editable=False,
        help_text="language of the pages; empty: as the browser asks",
    )

    class Meta:
        verbose_name_plural = "people"
        ordering = ["username"]

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    def save(self, *args: Any, **more: Any) -> None:
        """Save; one who may do everything, as `createsuperuser` makes them, is an owner."""
        if self._state.adding and self.is_superuser:
            self.role = Role.OWNER
        super().save(*args, **more)

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """Tie sessions to the password, as Django does, and to the last sign-out everywhere."""
        of_password: str = super()._get_session_auth_hash(secret)  # type: ignore[misc]
        if not self.signed_out_times:
            return of_password
        return salted_hmac(
            "evener.sessions", f"{of_password}{self.signed_out_times}", secret, algorithm="sha256"
        ).hexdigest()

    @property
    def manages(self) -> bool:
        """Whether this person may do what a fleet manager may."""
        return self.role in MANAGING or self.is_superuser

    @property
    def owns(self) -> bool:
        """Whether this person may do everything, in every shop and to everybody."""
        return self.role == Role.OWNER or self.is_superuser

    @property
    def only_shop_id(self) -> int | None:
        """The number of the one shop whose things are theirs; None: those of every shop."""
        return None if self.owns else self.shop_id

    @property
    def from_outside(self) -> bool:
        """Whether this is a hand lent by somebody else: of no shop of ours, without a sign-in."""
        return self.shop_id is None and not self.has_usable_password()


class Qualification(models.Model):
    """A skill that a person holds, and until when: a certificate runs out."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="qualifications")
    skill = models.ForeignKey(Skill, models.PROTECT, related_name="qualifications")
    valid_until = models.DateField(
        null=True, blank=True, help_text="last day on which it holds; empty: without an end"
    )
    certificate = models.CharField(max_length=80, blank=True, help_text="number, given by whom")

    class Meta:
        verbose_name = "skill held"
        verbose_name_plural = "skills held"
        ordering = ["person", "skill"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "skill"],
                name="a_skill_held_once",
                violation_error_message="This skill is given twice; keep one row of it.",
            )
        ]

    def __str__(self) -> str:
        until = f" until {self.valid_until}" if self.valid_until else ""
        return f"{self.skill}{until}"


class WorkingHours(models.Model):
    """Hours that a mechanic works on one day of the week; no row means off."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="working_hours")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAY_CHOICES)
    hours = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(24)])

    class Meta:
        verbose_name_plural = "working hours"
        ordering = ["person", "weekday"]
        constraints = [
            models.UniqueConstraint(fields=["person", "weekday"], name="one_working_row_a_weekday")
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.hours:g} h"


class Absence(models.Model):
    """Days on which a person is away, first and last included."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="absences")
    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, models.PROTECT, null=True, editable=False, related_name="+")
    at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["first_day"]

    def __str__(self) -> str:
        return f"{self.person}: {self.first_day} to {self.last_day}"

    def clean(self) -> None:
        """Refuse an absence that ends before it starts."""
        if self.first_day and self.last_day and self.last_day < self.first_day:
            raise ValidationError({"last_day": BACKWARDS})
