"""Customers: who machines are hired to, each once, found again as they are typed."""

from typing import Any

from django.db import models

from fleet.folded_names import LONGEST_KEY, name_key, phone_key


class Customer(models.Model):
    """Somebody who hires machines; of no one shop, since a customer goes to any desk.

    key, phone_key: name and telephone number as they are found again, kept by `save`.
    twin: 0, or more for another customer of the very same name; no two have key and twin alike,
    so two desks that write down one new customer at once make one entry.
    """

    name = models.CharField(max_length=120)
    key = models.CharField(max_length=LONGEST_KEY, editable=False)
    twin = models.PositiveSmallIntegerField(default=0, editable=False)
    phone = models.CharField(max_length=40, blank=True)
    phone_key = models.CharField(max_length=40, blank=True, editable=False, db_index=True)
    mail = models.EmailField(blank=True)
    note = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField()
    merged_into = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="merged_from",
        help_text="the entry that stands for this one",
    )  # fmt: skip

    class Meta:
        ordering = ["key", "twin"]
        constraints = [
            models.UniqueConstraint(fields=["key", "twin"], name="one_customer_of_a_name")
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **more: Any) -> None:
        """Save, with the keys that belong to name and number."""
        self.keyed()
        if (fields := more.get("update_fields")) is not None:
            more["update_fields"] = {*fields, "key", "phone_key"}
        super().save(*args, **more)

    def keyed(self) -> "Customer":
        """Set the keys by name and number, as `save` does; for rows written many at once."""
        self.key, self.phone_key = name_key(self.name), phone_key(self.phone)
        return self
