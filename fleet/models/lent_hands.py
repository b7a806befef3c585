"""Hands lent to a shop for some days."""

from math import isfinite

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.text import slugify

from fleet.models.people import Person, Role, Skill
from fleet.models.places import BACKWARDS, Shop


class LentHand(models.Model):
    """Somebody who works in a shop for some days only: lent by a neighbour or by another shop.

    The plan needs a person to give work to.  For somebody from outside one is made, who cannot
    sign in and belongs to no shop; one of our own people is absent from their own shop meanwhile.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="lent_hands")
    person = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="lent",
        help_text="one of your own people, of another shop; empty: somebody from outside",
    )  # fmt: skip
    name = models.CharField(max_length=80, blank=True, help_text="of somebody from outside")
    skills = models.ManyToManyField(
        Skill, blank=True, related_name="+",
        help_text="what they can do here; of your own people empty means what they hold anyway",
    )  # fmt: skip
    first_day = models.DateField()
    last_day = models.DateField(help_text="their last day here")
    hours = models.FloatField(
        "hours a day",
        default=8,
        validators=[MinValueValidator(0.25), MaxValueValidator(24)],
        help_text="on each day that the shop is open; busy and slack weeks do not change them",
    )
    note = models.CharField(max_length=120, blank=True, help_text="lent by whom, and what for")

    class Meta:
        verbose_name = "borrowed mechanic"
        verbose_name_plural = "borrowed mechanics"
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="lent_hand_leaves_after_coming",
                violation_error_message=BACKWARDS,
            )
        ]

    def __str__(self) -> str:
        return f"{self.name or self.person}: {self.first_day} to {self.last_day}"

    def save(self, *args: object, **kwargs: object) -> None:
        """Save, and see that there is a person to plan work for."""
        name, person = self.name.strip(), self.person
        if person is None:
            self.person = _from_outside(self.shop_id, name) or _new_hand(name)
        elif name and person.from_outside and person.first_name != name:
            person.first_name = name
            person.save(update_fields=["first_name"])
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def clean(self) -> None:
        """Refuse a hand without a name, days that run backwards or meet another loan of theirs."""
        if self.hours is not None and not isfinite(self.hours):
            raise ValidationError({"hours": "Hours a day are a number from 0.25 to 24."})
        if not (self.person_id or self.name.strip()):
            raise ValidationError({"name": "Name them, or choose one of your own people."})
        if not (self.first_day and self.last_day):
            return
        if self.last_day < self.first_day:
            raise ValidationError({"last_day": BACKWARDS})
        if self.person and self.shop_id and self.person.shop_id == self.shop_id:
            raise ValidationError(
                {"person": f"{self.person} works in {self.shop} anyway; give hours on their sheet."}
            )
        self._refuse_two_places()

    def _refuse_two_places(self) -> None:
        others = LentHand.objects.filter(
            first_day__lte=self.last_day, last_day__gte=self.first_day
        ).exclude(pk=self.pk)
        who = self.person or _from_outside(self.shop_id, self.name)
        other = others.filter(person=who).first() if who else None
        if other:
            raise ValidationError(
                f"{who} is lent to {other.shop} from {other.first_day} to {other.last_day} already;"
                " choose other days, or change that loan."
            )


def _from_outside(shop: int | None, name: str) -> Person | None:
    """Return who came to this shop by that name before."""
    hands = LentHand.objects.filter(shop=shop, name__iexact=name.strip(), person__shop=None)
    hand = hands.exclude(name="").select_related("person").order_by("pk").first()
    return hand.person if hand and hand.person and hand.person.from_outside else None


def _new_hand(name: str) -> Person:
    stem = f"hand-{slugify(name)[:40] or 'lent'}"
    taken = set(Person.objects.filter(username__startswith=stem).values_list("username", flat=True))
    names = (stem if n == 1 else f"{stem}-{n}" for n in range(1, len(taken) + 2))
    person = Person(
        username=next(free for free in names if free not in taken),
        first_name=name,
        role=Role.MECHANIC,
    )
    person.set_unusable_password()
    person.save()
    return person
