"""The form of a lent hand's sheet."""

from typing import Any

from django import forms

from fleet.models import LentHand


class LentHandForm(forms.ModelForm):
    """Refuses somebody from outside without skills: the plan could give them no work."""

    class Meta:
        model = LentHand
        fields = [
            "shop", "person", "name", "skills", "first_day", "last_day", "hours", "note",
        ]  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Ask what somebody from outside can do."""
        given = super().clean() or {}
        outside = given.get("person") is None or given["person"].from_outside
        if outside and not given.get("skills"):
            self.add_error("skills", "Say what they can do, or no work can be planned for them.")
        return given
