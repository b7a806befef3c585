"""The form of a service's sheet: what it follows, what it keeps apart from, who helps."""

from typing import Any

from django import forms

from fleet.models import Service
from fleet.queries.service_ties import (
    circle_in,
    covers_by_makeup,
    say_circle,
    what_follows,
)

LONGEST_DAY = 24 * 60
"""Minutes."""


class ServiceForm(forms.ModelForm):
    """Refuses what no visit could keep: circles, help longer than the work, more than a day."""

    class Meta:
        model = Service
        fields = [
            "code", "name", "minutes", "skill", "second_minutes", "second_skill", "second_for",
            "several_days", "cautions", "set_ups", "follows", "apart_from",
            "blocks_rental", "overdue_cost_per_day", "value", "invented",
        ]  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Check how the service stands to others; each fault stands at its field."""
        given = super().clean() or {}
        self._refuse_itself(given)
        self._refuse_both(given)
        self._refuse_circle(given)
        self._refuse_odd_minutes(given)
        return given

    def _refuse_itself(self, given: dict[str, Any]) -> None:
        for field, words in (("follows", "follow"), ("apart_from", "keep apart from")):
            if self.instance.pk and self.instance in given.get(field, ()):
                self.add_error(field, f"A service cannot {words} itself; take it off the list.")

    def _refuse_circle(self, given: dict[str, Any]) -> None:
        if not self.instance.pk or "follows" in self.errors:
            return
        follows = what_follows()
        follows[self.instance.pk] = {one.pk for one in given.get("follows", ())}
        if way := circle_in(follows, covers_by_makeup(), self.instance.pk):
            self.add_error(
                "follows",
                f"That is a circle: {say_circle(way)}. Take one of them off one of the lists.",
            )

    def _refuse_both(self, given: dict[str, Any]) -> None:
        """What it covers on some make-up cannot stand beside it in a visit."""
        if not self.instance.pk:
            return
        covered = {
            pk for here in covers_by_makeup().values() for pk in here.get(self.instance.pk, ())
        }
        for field in ("follows", "apart_from"):
            if both := [one for one in given.get(field, ()) if one.pk in covered]:
                names = ", ".join(sorted(map(str, both)))
                self.add_error(
                    field, f"It covers {names}, so it cannot also follow it or keep apart from it."
                )

    def _refuse_odd_minutes(self, given: dict[str, Any]) -> None:
        minutes, second = given.get("minutes"), given.get("second_minutes")
        if minutes and second and second > minutes:
            self.add_error(
                "second_minutes",
                f"Help cannot take longer than the work itself, {minutes} minutes.",
            )
        if given.get("second_skill") and not second:
            self.add_error("second_minutes", "Say how many minutes the second person is needed.")
        if minutes and minutes > LONGEST_DAY and not given.get("several_days"):
            self.add_error(
                "minutes", "That is longer than a day; tick that it may go over several days."
            )
