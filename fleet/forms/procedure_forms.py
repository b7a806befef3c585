"""Forms of a service with its procedure: steps, what it takes by place, limits, cautions."""

from typing import Any

from django import forms

from fleet.forms.service_form import ServiceForm
from fleet.forms.written_fields import FormPlace, PlacedForm
from fleet.models import Limit, Service, ServiceNeed, ServiceStep
from fleet.queries.set_up_choices import free_code, other_services

OTHERS = ("follows", "apart_from")


class ProcedureForm(ServiceForm):
    """A service; its code is made of its name unless one is given."""

    def __init__(self, *args: Any, place: FormPlace, **more: Any) -> None:
        self.place = place
        super().__init__(*args, **more)
        self.fields["code"].required = False
        self.fields["code"].help_text = "its name in files; empty: made of the name"
        for name, field in self.fields.items():
            if not isinstance(field, forms.ModelMultipleChoiceField):
                continue
            field.widget = forms.CheckboxSelectMultiple()
            # set after the widget, which takes its choices from there
            others = name in OTHERS
            field.queryset = other_services(self.instance) if others else field.queryset

    def clean(self) -> dict[str, Any]:
        """Make the code of a new service."""
        given = super().clean()
        if not given.get("code") and given.get("name"):
            given["code"] = self.instance.code or free_code(given["name"])
        return given

    def after(self, row: Service) -> None:
        """Nothing stands beside the row."""


class StepForm(PlacedForm):
    """One step; without a number it comes last."""

    class Meta:
        model = ServiceStep
        fields = ["position", "text", "tool"]
        labels = {"position": "No.", "text": "What to do"}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["position"].required = False


class NumberedSteps(forms.BaseInlineFormSet):
    """Steps in order; those without a number follow the last."""

    def clean(self) -> None:
        """Number the steps that have none."""
        super().clean()
        typed = [form for form in self.forms if form.is_valid() and form.has_changed()]
        taken = [form.instance.position or 0 for form in self.forms]
        last = max(taken, default=0)
        for form in typed:
            if form.instance.position is None and form.cleaned_data.get("text"):
                last += 1
                form.instance.position = last


class NeedForm(PlacedForm):
    """What a service takes from the shelf, by place."""

    class Meta:
        model = ServiceNeed
        fields = ["place", "share"]


class LimitForm(PlacedForm):
    """What to measure, and between which bounds it must lie."""

    class Meta:
        model = Limit
        fields = ["name", "unit", "low", "high", "makeup", "then"]
        labels = {"makeup": "On this make-up alone", "then": "Outside it, what is due"}
