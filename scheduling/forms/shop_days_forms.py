"""Forms of the plan: move work, publish days."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms

from fleet.forms.narrowing_fields import OneClass, OneYard, offer_yards_of
from fleet.models import Shop
from fleet.queries.skills import all_skills
from fleet.queries.who_works import workers_at
from scheduling.actions.replan import PinRequest
from scheduling.models import PlannedWork
from scheduling.plan.shop_hours import hours_of_each
from scheduling.queries.grid_jobs import WantedJobs
from scheduling.queries.planned_work import work_by_keys

LONGEST_STEP = 21
"""Days within which the next open day is looked for."""


class Keys(forms.MultipleChoiceField):
    """Keys of work, one or several; which there are is for the form to say."""

    def valid_value(self, value: Any) -> bool:
        """Take any key; the plan tells whether it is there."""
        return True


class MoveForm(forms.Form):
    """Where planned work of one machine is to go: a day, or one open day earlier or later."""

    work_key = Keys(error_messages={"required": "Tick at least one piece of work to move."})
    step = forms.ChoiceField(choices=[("-1", "earlier"), ("1", "later")], required=False)
    day = forms.DateField(
        label="Day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as 2026-03-31."},
    )
    mechanic: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None,
        required=False,
        empty_label="any mechanic",
        to_field_name="username",
        error_messages={"invalid_choice": "Nobody of that name works in this shop."},
    )

    def __init__(self, shop: Shop, today: date, *args: Any, **kwargs: Any) -> None:
        """Offer the mechanics of the shop, and hands lent to it on whatever days."""
        super().__init__(*args, **kwargs)
        self.shop, self.today = shop, today
        self.work: Sequence[PlannedWork] = ()
        people = workers_at(shop, date.min, date.max)
        self.fields["mechanic"].queryset = people  # type: ignore[attr-defined]

    def clean_work_key(self) -> list[str]:
        """Refuse work that is not in the plan of this shop, or of several machines."""
        keys = self.cleaned_data["work_key"]
        self.work = work_by_keys(self.shop, keys)
        if len(self.work) < len(set(keys)):
            raise forms.ValidationError(
                "This work is no longer in the plan; look at the page again, it may be done."
            )
        if len({each.machine_id for each in self.work}) > 1:
            raise forms.ValidationError("Move the work of one machine at a time.")
        return list(keys)

    def clean(self) -> dict[str, Any]:
        """Find the day of a step; without a step a day has to be given."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("step") and self.work:
            self._step(int(cleaned["step"]), cleaned)
        elif not cleaned.get("day") and "day" not in self.errors:
            self.add_error("day", "Choose a day to move it to.")
        return cleaned

    def _step(self, step: int, cleaned: dict[str, Any]) -> None:
        """Take the next open day on that side, and the same mechanic if they work on it."""
        job = self.work[0].job
        if job is None:
            self.add_error("step", "It is not on any day yet: choose a day to move it to.")
            return
        first = max(self.today, job.day - timedelta(days=LONGEST_STEP))
        last = job.day + timedelta(days=LONGEST_STEP)
        hours = hours_of_each(self.shop, first, max(0, (last - first).days) + 1)
        ahead = [day for day, there in hours.items() if there and (day - job.day).days * step > 0]
        if not ahead:
            word = "earlier" if step < 0 else "later"
            self.add_error("step", f"The shop has no working day close by that is {word}.")
            return
        cleaned["day"] = max(ahead) if step < 0 else min(ahead)
        there = hours[cleaned["day"]]
        cleaned["mechanic"] = job.mechanic if job.mechanic_id in there else None

    def move(self) -> PinRequest:
        """Return the move that is asked for; call it on a valid form."""
        machine = self.work[0].machine
        keys = tuple(self.cleaned_data["work_key"])
        return PinRequest(machine, keys, self.cleaned_data["day"], self.cleaned_data["mechanic"])


class WantedForm(forms.Form):
    """Whose jobs, of which class, yard and skill; what is not there is said and does not narrow."""

    mechanic: forms.ModelChoiceField = forms.ModelChoiceField(
        None,
        required=False,
        empty_label="every mechanic",
        to_field_name="username",
        error_messages={"invalid_choice": "Nobody of that name works in this shop."},
    )
    machine_class = OneClass()
    yard = OneYard()
    skill: forms.ModelChoiceField = forms.ModelChoiceField(
        None,
        required=False,
        empty_label="every skill",
        to_field_name="name",
        error_messages={"invalid_choice": "There is no such skill; choose one from the list."},
    )

    def __init__(self, shop: Shop, data: Any) -> None:
        super().__init__(data, auto_id="want_%s")
        people = workers_at(shop, date.min, date.max)
        self.fields["mechanic"].queryset = people  # type: ignore[attr-defined]
        self.fields["skill"].queryset = all_skills()  # type: ignore[attr-defined]
        offer_yards_of(self, shop)

    def wanted(self) -> WantedJobs:
        """Return what is wanted, as far as it can be understood."""
        self.is_valid()
        return WantedJobs(**self.cleaned_data)

    @property
    def narrows(self) -> bool:
        """Whether anything is left out."""
        return any(self.cleaned_data.values())


class OvertimeBackForm(forms.Form):
    """The day on which no more overtime than usual is allowed any more."""

    day = forms.DateField(
        error_messages={"required": "Choose a day.", "invalid": "Write the day as 2026-03-31."}
    )


class PublishForm(forms.Form):
    """How many days, from the first shown, the mechanics can rely on."""

    days = forms.IntegerField(
        label="Days to publish",
        min_value=1,
        max_value=28,
        initial=7,
        error_messages={
            "min_value": "Publish at least one day.",
            "max_value": "Publish four weeks at most.",
        },
    )
