"""One step of a procedure with all that it can say."""

from typing import Any

from django import forms

from fleet.makeup_traits import all_codes
from fleet.models import ServiceStep


class ProcedureStepForm(forms.ModelForm):
    """A step; without a number it comes last."""

    only_on = forms.MultipleChoiceField(
        label="Only on", required=False, choices=list(all_codes()),
        widget=forms.CheckboxSelectMultiple,
        help_text="none ticked: on every build; two of one kind: on either",
    )  # fmt: skip

    class Meta:
        model = ServiceStep
        fields = [
            "position", "kind", "text", "tool", "required", "caution", "place", "share",
            "first_share", "measures", "figure", "turning_order", "only_on", "source",
        ]  # fmt: skip
        labels = {
            "position": "No.", "text": "What to do", "required": "Not finished without it",
            "caution": "Caution", "measures": "What is measured", "figure": "Figure",
            "share": "Share", "place": "Place",
        }  # fmt: skip
        help_texts = {
            "text": "{quantity}, {first}, {rest}, {grade}, {part} and {figure} stand for the"
            " numbers of the make-up"
        }
        widgets = {"text": forms.Textarea(attrs={"rows": 3})}

    USUAL = ("position", "kind", "text", "tool", "required", "caution")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["position"].required = False
        self.initial["only_on"] = str(self.instance.only_on).split()

    def clean_position(self) -> int:
        """Take none as the last."""
        return int(self.cleaned_data["position"] or 0)

    def clean_only_on(self) -> str:
        """Keep builds as their codes, in the order in which set-up asks."""
        ticked = set(self.cleaned_data["only_on"])
        return " ".join(code for code, _ in all_codes() if code in ticked)

    def usual(self) -> list[Any]:
        """Return the fields that every step has."""
        return [self[name] for name in self.USUAL]

    def folded(self) -> list[Any]:
        """Return those that some kinds have."""
        return [self[name] for name in self.fields if name not in self.USUAL]
