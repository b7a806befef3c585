"""The form of a cause that was found: in words, how bad, how much work, and as which job."""

from typing import Any

from django import forms

from fleet.actions.find_faults import FaultWords
from fleet.actions.lay_down_work import LONGEST_LEFT
from fleet.models import Finding
from fleet.procedures.fault_library import FaultCause
from fleet.queries.fault_cases import services_for
from fleet.tongues.phrase_book import spoken


class FaultForm(forms.Form):
    """Filled with what the last check named, to be said better."""

    cause = forms.CharField(widget=forms.HiddenInput, required=False, max_length=60)
    words = forms.CharField(label="What it is", max_length=160)
    gravity = forms.ChoiceField(
        label="How bad", choices=Finding.Gravity.choices, widget=forms.RadioSelect,
        help_text="A defect is planned as work; not safe holds the machine at once.",
    )  # fmt: skip
    minutes = forms.IntegerField(
        label="Minutes to put it right", min_value=1, max_value=LONGEST_LEFT, required=False
    )
    calls_for: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, required=False, label="As the job",
        empty_label="a repair of its own",
        help_text="a job takes its parts onto the pull list",
    )  # fmt: skip

    def __init__(
        self, machine: Any, cause: FaultCause | None, words: str = "", data: Any = None
    ) -> None:
        self.known = words or (cause.words if cause else "")
        unsafe = cause is not None and cause.unsafe
        initial = {
            "cause": cause.key if cause else "",
            "words": spoken(self.known),
            "gravity": Finding.Gravity.UNSAFE if unsafe else Finding.Gravity.DEFECT,
            "minutes": cause.minutes if cause else 60,
        }
        super().__init__(data, initial=initial)
        services = services_for(machine, cause)
        self.fields["calls_for"].queryset = services  # type: ignore[attr-defined]
        if not services:
            del self.fields["calls_for"]

    def fault(self) -> FaultWords:
        """Return what was typed; call it on a valid form.

        What was left as it stood there is kept in the words of the library, for every reader.
        """
        given = self.cleaned_data
        words = self.known if given["words"] == spoken(self.known) else given["words"]
        return FaultWords(
            words, given["cause"], given["gravity"], given["minutes"] or 60, given.get("calls_for")
        )  # fmt: skip
