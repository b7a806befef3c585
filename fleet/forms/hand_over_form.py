"""The form of check-out and return: what each meter shows, the walk round, what is not safe."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from fleet.actions.hand_over import WalkRound
from fleet.actions.read_at_hand_over import TypedReading
from fleet.forms.particulars_fields import particulars_fields, read_particulars
from fleet.models import Finding, MeterKind, RunsOn
from fleet.queries.dials import Dial
from fleet.queries.judge_readings import ReadingRefused
from fleet.refusal import Refusal
from fleet.validation import ReadingAnswer, ReadingVerdict, answer_words
from fleet.walk_round_library import PointToSee, general_points

IN_ORDER, NOT_IN_ORDER, HAS_NONE = "yes", "no", "none"
POINT_CHOICES = [(IN_ORDER, "in order"), (NOT_IN_ORDER, "not in order"), (HAS_NONE, "has none")]
NOT_LOOKED_AT = "Look at this point, then say how it is."
PUT_RIGHT, STILL_SO = "right", "not"
ANSWERS = [(PUT_RIGHT, "put right: I have looked"), (STILL_SO, "not put right")]
NOT_ANSWERED = "Look at it, then say whether it is put right."
LONG_ENOUGH = 5
"""Characters of a reason that says something."""


@dataclass(frozen=True)
class DialFields:
    """The fields of one meter, and the choices that validation offered, for the page."""

    dial: Dial
    value: forms.BoundField
    unread: forms.BoundField
    old_last: forms.BoundField
    new_first: forms.BoundField
    answer: str
    choices: Sequence[tuple[str, str]]

    @property
    def asks_swap(self) -> bool:
        """Whether the two values of a swap are asked for."""
        return any(code == ReadingAnswer.SWAPPED for code, _ in self.choices)


@dataclass(frozen=True)
class PointField:
    """The field of one point of the walk-round; was: how it was when the machine went out."""

    field: forms.BoundField
    safety: bool
    was: str = ""


@dataclass(frozen=True)
class Kit:
    """What a class runs on, and what goes with its machines."""

    runs_on: str = RunsOn.NONE
    accessories: Sequence[str] = ()


NO_KIT = Kit()


class MeterText(forms.CharField):
    """What a meter shows, as it is typed."""

    def __init__(self, label: str) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        widget = forms.TextInput(attrs=attrs)
        too_long = {"max_length": "That is too long for a meter; write what it shows."}
        super().__init__(
            required=False, max_length=40, label=label, widget=widget, error_messages=too_long
        )


class HandOverForm(forms.Form):
    """One hand-over; `reason` is asked for at check-out alone."""

    note = forms.CharField(
        required=False, max_length=300, label="Note",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": "Say it in at most 300 characters."},
    )  # fmt: skip
    rest = forms.BooleanField(
        required=False,
        label="I looked at the points that are not for safety: what is left open above is in order",
    )
    unsafe = forms.BooleanField(required=False, label="This machine is not safe")
    unsafe_text = forms.CharField(
        required=False, max_length=300, label="What is not safe",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": "Say it in at most 300 characters."},
    )  # fmt: skip
    reason = forms.CharField(
        required=False, max_length=300, label="Why it goes out anyway",
        help_text="Kept on record with your name.",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": "Say it in at most 300 characters."},
    )  # fmt: skip
    safety_reason = forms.CharField(
        required=False, max_length=300, label="Why it may go although that is not in order",
        help_text="Kept on record with your name. Empty: the machine is held at once.",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": "Say it in at most 300 characters."},
    )  # fmt: skip
    form_key = forms.CharField(max_length=20, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        dials: Sequence[Dial],
        points: Sequence[PointToSee] | None = None,
        was: Mapping[str, bool] | None = None,
        asked: Sequence[Finding] = (),
        kit: Kit = NO_KIT,
        **kwargs: Any,
    ) -> None:
        """Ask for the points of the machine's class.

        was: how the points were at check-out; None: it goes out now.  asked: open findings for
        safety.  kit: what the class runs on, and what goes with it.
        """
        super().__init__(*args, **kwargs)
        self.dials, self.asked, self.was, self.kit = dials, asked, was, kit
        self.walk_round = general_points() if points is None else points
        self.offered: dict[str, ReadingVerdict] = {}
        for dial in dials:
            self._add_dial(dial)
        self.fields.update(particulars_fields(kit.runs_on, kit.accessories, out=was is None))
        for finding in asked:
            self.fields[f"safe_{finding.pk}"] = forms.ChoiceField(
                choices=ANSWERS, label=finding.text, widget=forms.RadioSelect,
                error_messages={"required": NOT_ANSWERED, "invalid_choice": NOT_ANSWERED},
            )  # fmt: skip
        for number, point in enumerate(self.walk_round):
            self.fields[f"point_{number}"] = forms.ChoiceField(
                choices=POINT_CHOICES, label=point.words, widget=forms.RadioSelect,
                error_messages={"required": NOT_LOOKED_AT, "invalid_choice": NOT_LOOKED_AT},
                required=point.safety or not self.data.get("rest"),
            )  # fmt: skip

    def _add_dial(self, dial: Dial) -> None:
        kind, label = dial.kind, dial.kind.label
        self.fields[f"reading_{kind}"] = MeterText(f"{label} shows, {dial.unit}")
        self.fields[f"unread_{kind}"] = forms.BooleanField(
            required=False, label=f"The {label.lower()} cannot be read"
        )
        self.fields[f"answer_{kind}"] = forms.CharField(required=False, max_length=20)
        self.fields[f"old_last_{kind}"] = MeterText(f"The old meter last showed, {dial.unit}")
        self.fields[f"new_first_{kind}"] = MeterText(f"The new one started at, {dial.unit}")

    def clean(self) -> dict[str, Any]:
        """Read the meters, and ask what is not safe."""
        for dial in self.dials:
            self._clean_dial(dial)
        if self.cleaned_data.get("rest"):
            self._clean_rest()
        if self.cleaned_data.get("unsafe") and not self.cleaned_data.get("unsafe_text", "").strip():
            self.add_error("unsafe_text", "Say in a few words what is not safe.")
        if 0 < len(self.cleaned_data.get("safety_reason", "").strip()) < LONG_ENOUGH:
            self.add_error("safety_reason", "Say in a few words why it may go anyway.")
        return self.cleaned_data

    def _clean_rest(self) -> None:
        """Take the points that were left open for in order; those for safety are asked each."""
        for number, point in enumerate(self.walk_round):
            if not point.safety and self.cleaned_data.get(f"point_{number}") == "":
                self.cleaned_data[f"point_{number}"] = IN_ORDER

    def _clean_dial(self, dial: Dial) -> None:
        kind = dial.kind
        if not self.cleaned_data.get(f"unread_{kind}"):
            self._parse(f"reading_{kind}", dial)
        if self.cleaned_data.get(f"answer_{kind}") == ReadingAnswer.SWAPPED:
            for name in (f"old_last_{kind}", f"new_first_{kind}"):
                if self.cleaned_data.get(name):
                    self._parse(name, dial)

    def _parse(self, name: str, dial: Dial) -> None:
        if name not in self.cleaned_data:
            return
        try:
            self.cleaned_data[name] = dial.parse(self.cleaned_data[name])
        except ValueError as error:
            self.add_error(name, str(error))

    def unsafe_said(self) -> str:
        """Return what is not safe, if it is said, whatever else is still to mend in the form."""
        typed = getattr(self, "cleaned_data", {})
        return str(typed.get("unsafe_text", "")).strip() if typed.get("unsafe") else ""

    def readings(self) -> list[TypedReading]:
        """Return what was typed for the meters that can be read."""
        typed = self.cleaned_data
        return [
            TypedReading(
                dial.kind,
                typed[f"reading_{dial.kind}"],
                typed[f"answer_{dial.kind}"],
                typed[f"old_last_{dial.kind}"] or None,
                typed[f"new_first_{dial.kind}"] or None,
            )
            for dial in self.dials
            if not typed[f"unread_{dial.kind}"]
        ]

    def unread(self) -> list[MeterKind]:
        """Return the meters that cannot be read."""
        return [dial.kind for dial in self.dials if self.cleaned_data[f"unread_{dial.kind}"]]

    def points(self) -> dict[str, bool]:
        """Return the points that the machine has, and whether each is in order."""
        return {
            words: how == IN_ORDER for words, how in self._seen().items() if how and how != HAS_NONE
        }

    def _seen(self) -> dict[str, str]:
        """Return what is said of each point so far, whatever else is still to mend."""
        typed = getattr(self, "cleaned_data", {})
        return {p.words: typed.get(f"point_{i}", "") for i, p in enumerate(self.walk_round)}

    def seen(self) -> WalkRound:
        """Return the walk-round as far as it is said."""
        typed = self.cleaned_data
        right = {one.pk for one in self.asked if typed.get(f"safe_{one.pk}") == PUT_RIGHT}
        return WalkRound(
            self.points(),
            str(typed.get("note", "")).strip(),
            safety=frozenset(point.words for point in self.walk_round if point.safety),
            reason=self.safety_said(),
            put_right=frozenset(right),
            more=read_particulars(typed, self.kit.accessories),
        )

    def safety_said(self) -> str:
        """Return why it may go although a point for safety is not in order, long enough or not."""
        return str(self.data.get("safety_reason", "")).strip()

    def still_unsafe(self) -> list[Finding]:
        """Return the findings for safety of which it is said that they are not put right."""
        typed = getattr(self, "cleaned_data", {})
        return [one for one in self.asked if typed.get(f"safe_{one.pk}") == STILL_SO]

    def refuse(self, no: Refusal) -> None:
        """Show a refusal at its field, and the choices that validation offers with a reading."""
        if isinstance(no, ReadingRefused):
            self.offered[no.field.removeprefix("reading_")] = no.verdict
        self.add_error(no.field if no.field in self.fields else None, no.sentence)

    def dial_fields(self) -> Iterator[DialFields]:
        """Yield the fields of each meter."""
        for dial in self.dials:
            kind = dial.kind
            verdict = self.offered.get(kind)
            yield DialFields(
                dial,
                self[f"reading_{kind}"],
                self[f"unread_{kind}"],
                self[f"old_last_{kind}"],
                self[f"new_first_{kind}"],
                str(self.data.get(f"answer_{kind}", "")),
                _choices(verdict, dial) if verdict else self._old_choices(kind),
            )

    def _old_choices(self, kind: str) -> list[tuple[str, str]]:
        """Keep an answer that was given already, when the page comes back for another fault."""
        given = str(self.data.get(f"answer_{kind}", ""))
        return [(given, WORDS[ReadingAnswer(given)])] if given in list(ReadingAnswer) else []

    def point_fields(self) -> list[PointField]:
        """Return the points of the walk-round, each beside how it was at check-out."""
        return [
            PointField(self[f"point_{number}"], point.safety, self._was(point.words))
            for number, point in enumerate(self.walk_round)
        ]

    def _was(self, words: str) -> str:
        if self.was is None:
            return ""
        if words not in self.was:
            return "not looked at"
        return "in order" if self.was[words] else "not in order"

    def kit_fields(self) -> list[forms.BoundField]:
        """Return fuel or charge, where it is asked for."""
        return [self[name] for name in ("fuel", "charge") if name in self.fields]

    def accessory_fields(self) -> list[forms.BoundField]:
        """Return what goes with it."""
        return [self[f"goes_{number}"] for number in range(len(self.kit.accessories))]

    def use_fields(self) -> list[forms.BoundField]:
        """Return what is said about its use, as it goes out."""
        return [self[name] for name in ("use_said", "hours_a_day") if name in self.fields]

    def asked_fields(self) -> list[forms.BoundField]:
        """Return the questions about open findings for safety."""
        return [self[f"safe_{finding.pk}"] for finding in self.asked]


WORDS = {
    **answer_words.WORDS,
    ReadingAnswer.MEANT: "The other value was meant",
    ReadingAnswer.MISTYPED: "Mistyped: I have typed it again above",
}
"""The verdict's words; one form holds all meters here, so that a typing error is an answer too."""


def _choices(verdict: ReadingVerdict, dial: Dial) -> list[tuple[str, str]]:
    """Return what may be answered, in words; the value that was meant is said."""
    words = dict(WORDS)
    if verdict.meant is not None:
        words[ReadingAnswer.MEANT] = f"It shows {dial.show(verdict.meant)}"
    return [(str(choice), words[choice]) for choice in verdict.choices]
