"""Changes tried out on a copy of a shop's plan, and how far a search for a plan is.

A trial holds what a person asked; what follows from it (places, differences) can be worked out
again from the facts at any time, and is whenever the facts have moved since.
"""

from django.db import models

from fleet.models import Person, Shop


class Trial(models.Model):
    """A shop's plan with some changes, beside the real one, until it is published or dropped."""

    class Kind(models.TextChoices):
        """What is asked: the best plan with the change, or the fewest moves that mend the plan."""

        TRY = "try", "change tried out"
        MEND = "mend", "mend of the plan"

    class State(models.TextChoices):
        """Where a trial stands."""

        ASKED = "asked", "being worked out"
        READY = "ready", "worked out"
        PUBLISHED = "published", "published"
        DROPPED = "dropped", "thrown away"

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="trials")
    kind = models.CharField(max_length=4, choices=Kind, default=Kind.TRY)
    state = models.CharField(max_length=9, choices=State, default=State.ASKED)
    changes = models.JSONField(help_text="list of changes, see scheduling.trial.changes")
    by = models.ForeignKey(
        Person, models.PROTECT, null=True, related_name="+",
        help_text="empty: the program itself, since facts have changed",
    )  # fmt: skip
    cause = models.CharField(
        max_length=300, blank=True, help_text="what changed and what it undoes, in a sentence"
    )
    made_at = models.DateTimeField()
    form_key = models.CharField(max_length=40, null=True, blank=True, unique=True)
    round = models.PositiveIntegerField(default=1, help_text="how often it was asked")
    base = models.CharField(max_length=64, blank=True, help_text="digest of the facts it stands on")
    base_plan = models.PositiveIntegerField(default=0, help_text="number of the plan it stands on")
    solution = models.JSONField(default=dict, help_text="the plan that was found")
    shown = models.JSONField(default=dict, help_text="differences, as they are shown")
    solved_at = models.DateTimeField(null=True)
    settled_at = models.DateTimeField(null=True)
    settled_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.pk}"

    @property
    def open(self) -> bool:
        """Whether it is neither published nor thrown away."""
        return self.state in (self.State.ASKED, self.State.READY)


class PlanSearch(models.Model):
    """One search for a plan, as it goes: its stage, and how near the best it is."""

    class Cause(models.TextChoices):
        """Why it is made."""

        NIGHT = "night", "nightly run"
        HAND = "hand", "asked for by hand"
        TRIAL = "trial", "trial"
        FIRST = "first", "first plan, by itself"
        FACTS = "facts", "changed facts"

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="searches")
    cause = models.CharField(max_length=5, choices=Cause)
    trial = models.ForeignKey(Trial, models.CASCADE, null=True, related_name="searches")
    round = models.PositiveIntegerField(default=0, help_text="of the trial")
    by = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    asked_at = models.DateTimeField()
    began_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    stage = models.CharField(max_length=80, blank=True)
    share = models.FloatField(default=0, help_text="of the work, 0 to 1")
    cost = models.FloatField(null=True, help_text="of the best plan so far")
    bound = models.FloatField(default=0, help_text="no plan can cost less")
    said = models.CharField(max_length=400, blank=True, help_text="what came of it")
    failed = models.BooleanField(default=False)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.shop}: {self.get_cause_display()}"

    @property
    def gap(self) -> float | None:
        """Share of the cost that the best possible plan could save at most; None: no plan yet."""
        if self.cost is None:
            return None
        return max(0.0, (self.cost - self.bound) / self.cost) if self.cost > 0 else 0.0
