"""The forms of one finding: corrected, settled, struck or opened again."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from fleet.actions.correct_findings import FindingCorrection
from fleet.actions.lay_down_work import LONGEST_LEFT
from fleet.forms.why_field import WhyCorrectedField
from fleet.models import Finding
from fleet.queries.skills import all_skills


class FindingForm(forms.Form):
    """A finding as it should have been noted."""

    text = forms.CharField(
        label="What was seen", max_length=400, widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Say in a few words what was seen."},
    )  # fmt: skip
    gravity = forms.ChoiceField(
        label="How bad", choices=Finding.Gravity.choices, widget=forms.RadioSelect,
        help_text="A defect is planned as work; not safe holds the machine at once.",
    )  # fmt: skip
    minutes = forms.IntegerField(
        label="Minutes to put it right", min_value=1, max_value=LONGEST_LEFT,
        help_text="A guess, for the plan.",
        error_messages={
            "min_value": "Write at least one minute.",
            "max_value": "Write at most 30,000 minutes; that is 500 hours of work.",
        },
    )  # fmt: skip
    skill: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, required=False, label="Skill it asks for", empty_label="any mechanic"
    )
    why = WhyCorrectedField()

    def __init__(self, data: Any, finding: Finding) -> None:
        said = {name: getattr(finding, name) for name in ("text", "gravity", "minutes")}
        super().__init__(data, initial={**said, "skill": finding.skill_id})
        _choose(self, "skill", all_skills())

    def right(self) -> FindingCorrection:
        """Return what the finding should have said."""
        typed = self.cleaned_data
        return FindingCorrection(typed["text"], typed["gravity"], typed["minutes"], typed["skill"])


class WhyForm(forms.Form):
    """Why something is done to a finding; kept with the name."""

    why = forms.CharField(
        label="Why", max_length=200,
        error_messages={"required": "Say why; it stays on record with your name."},
    )  # fmt: skip


class SettleForm(forms.Form):
    """What was done about a finding."""

    why = forms.CharField(
        label="What was done about it", max_length=200,
        error_messages={"required": "Say in a few words what was done about it."},
    )  # fmt: skip


def _choose(form: forms.Form, name: str, rows: QuerySet[Any]) -> None:
    """Offer these rows, as they are when the form is made."""
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = rows
