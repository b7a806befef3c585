"""Secret addresses of calendars of bookings: those of a desk, of a yard, of one machine."""

from django.db import models

from fleet.models.calendar_key import new_word
from fleet.models.machines import Machine
from fleet.models.people import Person
from fleet.models.places import Shop, Yard


class FeedKey(models.Model):
    """One address, as long as it stands; who has it reads what is booked, without signing in.

    Of a yard or a machine, or with neither of a shop's whole desk.  The word alone opens nothing:
    an address carries it signed, like that of a `CalendarKey`.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="feed_keys")
    yard = models.ForeignKey(Yard, models.PROTECT, null=True, blank=True, related_name="feed_keys")
    machine = models.ForeignKey(
        Machine, models.PROTECT, null=True, blank=True, related_name="feed_keys"
    )
    word = models.CharField(max_length=32, unique=True, default=new_word)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        verbose_name = "calendar address"
        verbose_name_plural = "calendar addresses"
        ordering = ["made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine"], condition=models.Q(revoked_at=None), name="one_feed_a_machine"
            ),
            models.UniqueConstraint(
                fields=["yard"],
                condition=models.Q(revoked_at=None, machine=None),
                name="one_feed_a_yard",
            ),
            models.UniqueConstraint(
                fields=["shop"],
                condition=models.Q(revoked_at=None, machine=None, yard=None),
                name="one_feed_a_desk",
            ),
        ]

    def __str__(self) -> str:
        return f"calendar of {self.of}"

    @property
    def of(self) -> str:
        """Whose bookings it shows."""
        return str(self.machine or self.yard or f"the desk of {self.shop}")
