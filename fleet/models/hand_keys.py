"""What a ranch hand signs in by: a code to type, or a link that is theirs alone."""

from django.db import models

from fleet.models.people import Person


class HandKeyKind(models.TextChoices):
    """How the key is brought: typed, or opened."""

    CODE = "code", "yard code"
    LINK = "link", "personal link"


class HandKey(models.Model):
    """One key of one hand, as long as it stands; of the key itself only a digest is kept."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="hand_keys")
    kind = models.CharField(max_length=8, choices=HandKeyKind)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)

    class Meta:
        verbose_name = "key of a ranch hand"
        verbose_name_plural = "keys of ranch hands"
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "kind"],
                condition=models.Q(revoked_at=None),
                name="one_key_of_a_kind_a_hand",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.person}"


class HandKeyUse(models.Model):
    """One signing in by a key: when, and from which phone."""

    key = models.ForeignKey(HandKey, models.PROTECT, related_name="uses")
    at = models.DateTimeField()
    address = models.GenericIPAddressField(null=True, blank=True)
    browser = models.CharField(max_length=200, blank=True, help_text="as it names itself")

    class Meta:
        verbose_name = "sign-in by such a key"
        verbose_name_plural = "sign-ins by such keys"
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.key}, {self.at:%Y-%m-%d %H:%M}"
