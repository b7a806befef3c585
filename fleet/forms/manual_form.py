"""The questions to a make-up's manual as one form: build, figures, bounds."""

import re
from typing import Any

from django import forms

from fleet.actions.keep_manual import SaidBounds, SaidByManual, SaidFigure
from fleet.measured_values import parse_measured
from fleet.models import MakeUpFigure
from fleet.numerals import parse_number
from fleet.queries.manual_questions import AskedLimit, ManualQuestions

FIGURE = re.compile(r"([-−–]?\d[\d.,]*)\s*(\D{0,16})")
"""A number with its unit: 25 N·m; anything else is taken as words."""
MINUS = ("-", "−", "–")
PLAIN = {"autocomplete": "off"}


class ManualForm(forms.Form):
    """Made of the questions: fields without an answer say nothing, and change nothing."""

    def __init__(self, questions: ManualQuestions, data: Any = None) -> None:
        self.questions = questions
        super().__init__(data)
        self.figure_names = list(questions.figures)
        for trait, build in questions.traits:
            choices = [("", "not said"), *trait.builds.items()]
            self.fields[f"trait-{trait.name}"] = forms.ChoiceField(
                label=trait.label, choices=choices, required=False, initial=build
            )
        for number, (name, figure) in enumerate(questions.figures.items()):
            self._text(f"figure-{number}", name, _shown(figure), "25 N·m, or in words")
            self._text(f"figure-{number}-page", "Page", figure.source if figure else "")
        for asked in questions.limits:
            self._limit_fields(asked)

    def _text(self, name: str, label: str, initial: object, hint: str = "") -> None:
        self.fields[name] = forms.CharField(
            label=label[:1].upper() + label[1:],
            required=False,
            max_length=160,
            initial=initial,
            help_text=hint,
            widget=forms.TextInput(attrs=PLAIN),
        )

    def _limit_fields(self, asked: AskedLimit) -> None:
        row, pk = asked.own or asked.general, asked.general.pk
        unit = f", {row.unit}" if row.unit else ""
        for end, bound in (("low", row.low), ("high", row.high)):
            words = "at least" if end == "low" else "at most"
            shown = "" if bound is None else f"{bound:g}"
            self._text(f"limit-{pk}-{end}", f"{row.name}: {words}{unit}", shown)
        self._text(f"limit-{pk}-page", "Page", row.source)

    def clean(self) -> dict[str, Any]:
        """Read the numbers; each fault stands at its field."""
        given = super().clean() or {}
        for asked in self.questions.limits:
            low, high = (self._bound(asked, end) for end in ("low", "high"))
            if low is not None and high is not None and high < low:
                name = f"limit-{asked.general.pk}-high"
                self.add_error(name, "The upper bound is below the lower.")
        return given

    def _bound(self, asked: AskedLimit, end: str) -> float | None:
        name = f"limit-{asked.general.pk}-{end}"
        text = str(self.cleaned_data.get(name, "")).strip()
        if not text or name in self.errors:
            return None
        try:
            return parse_measured(text, (asked.own or asked.general).unit)
        except ValueError as no:
            self.add_error(name, str(no))
            return None

    def said(self) -> SaidByManual:
        """Return what was answered; call it on a valid form."""
        traits = {
            trait.name: build
            for trait, _ in self.questions.traits
            if (build := self.cleaned_data[f"trait-{trait.name}"])
        }
        figures = [
            _figure(name, text, self.cleaned_data[f"figure-{number}-page"])
            for number, name in enumerate(self.figure_names)
            if (text := self.cleaned_data[f"figure-{number}"].strip())
        ]
        return SaidByManual(traits, figures, self._said_bounds())

    def _said_bounds(self) -> list[SaidBounds]:
        found = []
        for asked in self.questions.limits:
            start = f"limit-{asked.general.pk}"
            names = [f"{start}-{end}" for end in ("low", "high", "page")]
            changed = set(names) & set(self.changed_data)
            low, high = (self._bound(asked, end) for end in ("low", "high"))
            if changed and (low is not None or high is not None):
                found.append(SaidBounds(asked.general.name, low, high, self.cleaned_data[names[2]]))
        return found

    def trait_rows(self) -> list[Any]:
        """Return the fields of the build."""
        return [self[f"trait-{trait.name}"] for trait, _ in self.questions.traits]

    def figure_rows(self) -> list[tuple[Any, Any]]:
        """Return each figure's field with that of its page."""
        numbers = range(len(self.figure_names))
        return [(self[f"figure-{number}"], self[f"figure-{number}-page"]) for number in numbers]

    def limit_rows(self) -> list[tuple[AskedLimit, Any, Any, Any]]:
        """Return each limit with the fields of its bounds and page."""
        rows = []
        for asked in self.questions.limits:
            ends = [self[f"limit-{asked.general.pk}-{end}"] for end in ("low", "high", "page")]
            rows.append((asked, ends[0], ends[1], ends[2]))
        return rows


def _number(text: str) -> float:
    below = text.startswith(MINUS)
    number = parse_number(text[1:].strip() if below else text)
    return -number if below else number


def _figure(name: str, text: str, page: str) -> SaidFigure:
    match = FIGURE.fullmatch(text)
    if match is None:
        return SaidFigure(name, words=text[:80], source=page)
    try:
        return SaidFigure(name, _number(match[1]), match[2].strip(), source=page)
    except ValueError:
        return SaidFigure(name, words=text[:80], source=page)


def _shown(figure: MakeUpFigure | None) -> str:
    if figure is None:
        return ""
    return figure.words if figure.value is None else f"{figure.value:g} {figure.unit}".strip()
