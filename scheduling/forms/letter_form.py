"""The form of one's letters: each kind with when and to whom, the morning, quiet hours."""

from typing import Any

from django import forms

from fleet.models import Person, Role
from scheduling.actions.choose_letters import Hours, KindChoice, LetterWishes, wishes_of
from scheduling.models import LetterChoice, Notice
from scheduling.notices.wishes import ALWAYS, may_be_off
from scheduling.queries.letter_readers import readers_instead_of

How = LetterChoice.How
Kind = Notice.Kind
KINDS_OF: dict[str, tuple[Notice.Kind, ...]] = {
    Role.MANAGER: (
        Kind.MORNING, Kind.AT_RISK, Kind.LATE, Kind.OVERDUE, Kind.HELD, Kind.RELEASED,
        Kind.OVERRIDE, Kind.UNANSWERED, Kind.PARTS, Kind.READING, Kind.TREND, Kind.FREE, Kind.NIGHT,
    ),
    Role.DESK: (Kind.AT_RISK, Kind.LATE, Kind.HELD, Kind.RELEASED, Kind.FREE, Kind.READING),
    Role.MECHANIC: (
        Kind.DAY_LIST, Kind.CHANGED, Kind.HELD, Kind.RELEASED, Kind.READING, Kind.TREND,
    ),
}  # fmt: skip
"""Role -> the kinds of letters that reach it; who has no role of these may choose of all."""


def kinds_for(person: Person) -> tuple[Notice.Kind, ...]:
    """Return the kinds of letters that a person may get."""
    role = Role.MANAGER if person.manages else person.role
    every = tuple(kind for kind in Kind if kind not in ALWAYS)
    return KINDS_OF.get(role, every)


class LetterForm(forms.Form):
    """One row a kind; a letter on safety has only to whom it goes."""

    morning_at = forms.TimeField(
        label="The letter of the morning comes at", input_formats=["%H:%M"]
    )
    quiet_from = forms.TimeField(
        label="No letters from", required=False, input_formats=["%H:%M"],
        help_text="letters on safety come anyway",
    )  # fmt: skip
    quiet_to = forms.TimeField(label="until", required=False, input_formats=["%H:%M"])
    unanswered_hours = forms.IntegerField(
        label="Hours until a warning that nobody answered comes to you", min_value=1, max_value=168
    )

    def __init__(self, person: Person, data: Any = None) -> None:
        """Show what the person chose before."""
        self.person, self.kinds = person, kinds_for(person)
        wishes = wishes_of(person)
        hours = wishes.hours
        initial: dict[str, Any] = {
            name: value.strftime("%H:%M") if hasattr(value, "strftime") else value
            for name, value in vars(hours).items()
        }
        super().__init__(data, initial=initial, auto_id="letter_%s")
        others = readers_instead_of(person)
        for kind in self.kinds:
            self._add(kind, wishes.kinds.get(kind, KindChoice()), others)
        if not person.manages:
            del self.fields["unanswered_hours"]

    def _add(self, kind: Notice.Kind, now: KindChoice, others: Any) -> None:
        label = str(kind.label).capitalize()
        if may_be_off(kind):
            self.fields[kind.value] = forms.ChoiceField(
                choices=How.choices, label=label, initial=now.how, required=False
            )
        self.fields[f"{kind.value}_to"] = forms.ModelChoiceField(
            others, required=False, empty_label="to me", initial=now.instead,
            label=f"{label} (to whom)" if may_be_off(kind) else f"{label} (safety, always at once)",
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Refuse half of the quiet hours."""
        typed: dict[str, Any] = super().clean() or {}
        if bool(typed.get("quiet_from")) != bool(typed.get("quiet_to")):
            self.add_error("quiet_to", "Say both ends of the quiet hours, or neither.")
        return typed

    def wishes(self) -> LetterWishes:
        """Return what was typed."""
        typed = self.cleaned_data
        kinds = {
            kind.value: KindChoice(
                typed.get(kind.value) or How.AT_ONCE, typed.get(f"{kind.value}_to")
            )
            for kind in self.kinds
        }
        hours = Hours(
            typed["morning_at"],
            typed.get("quiet_from"),
            typed.get("quiet_to"),
            typed.get("unanswered_hours") or 24,
        )
        return LetterWishes(kinds, hours)
