"""The form of one interval, in trade words; a class's make-ups can be given it together."""

from collections.abc import Collection
from copy import copy
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.interval_words import (
    ANCHOR_WORDS,
    Terms,
    early_of,
    every_of,
    first_of,
    late_of,
    parse_season,
    parse_terms,
    say_terms,
)
from fleet.models import Anchor, Interval, Service
from fleet.queries.makeup_intervals import covered_directly, may_be_covered, services_by_name
from fleet.queries.service_ties import (
    circle_in,
    covers_by_makeup,
    never_with,
    say_circle,
    what_follows,
)
from fleet.saying import MONTH

TERMS = ("every", "first", "late", "early")


class IntervalForm(forms.Form):
    """How often, first when, how late and early, by which season, counted how, from which page."""

    service = forms.ModelChoiceField(
        services_by_name(), empty_label="Choose one",
        error_messages={"required": "Choose the service."},
    )  # fmt: skip
    every = forms.CharField(
        required=False, max_length=80, label="Every",
        help_text="such as 100 h, 12 months, or 100 h or 12 months: whichever comes first",
    )  # fmt: skip
    first = forms.CharField(
        required=False, max_length=80, label="The first time at",
        help_text="where it differs, such as 20 h or 1 month",
    )  # fmt: skip
    late = forms.CharField(
        required=False, max_length=80, label="It may be late by",
        help_text="such as 10 h, 10 h or 14 days, or 10 %",
    )  # fmt: skip
    early = forms.CharField(
        required=False, max_length=80, label="It counts as done from so much before",
        help_text="its window, such as 10 h or 10 %",
    )  # fmt: skip
    season = forms.CharField(
        required=False, max_length=30, label="By a day of each year", help_text="such as 15 Nov"
    )
    idle_months = forms.IntegerField(
        required=False, min_value=1, max_value=120, label="After a rest of so many months",
        help_text="due before it goes back to work",
    )  # fmt: skip
    anchor = forms.ChoiceField(
        choices=ANCHOR_WORDS.items(), initial=Anchor.FROM_SERVICE, widget=forms.RadioSelect,
        label="The next one is",
    )  # fmt: skip
    end_of_month = forms.BooleanField(required=False, label="It runs to the last day of the month")
    hard = forms.BooleanField(
        required=False, label="A hard limit, set by law or standard: past it, it may not go out"
    )
    source = forms.CharField(
        required=False, max_length=160, label="Page of the machine's own manual",
        help_text="or the law or standard",
    )  # fmt: skip
    covers = forms.ModelMultipleChoiceField(
        services_by_name(), required=False, widget=forms.CheckboxSelectMultiple,
        label="Doing it counts as doing these too",
        help_text="what this make-up's manual includes in it; the rest falls due by itself",
    )  # fmt: skip
    whole_class = forms.BooleanField(required=False, label="Give it to every make-up of the class")

    def __init__(
        self, *args: Any, kinds: Collection[str], units: str, instance: Interval | None, **more: Any
    ) -> None:
        self.kinds, self.units, self.instance = kinds, units, instance
        if instance is not None:
            more["initial"] = as_typed(instance, units) | (more.get("initial") or {})
        super().__init__(*args, **more)
        if instance is not None and instance.pk:
            del self.fields["service"]
        if instance is None or instance.pk or instance.makeup is None:
            del self.fields["whole_class"]
        self._offer_covers()

    def _offer_covers(self) -> None:
        """Offer what can be done with it on its make-up; of one machine nothing is said apart."""
        row = self.instance
        if row is None or row.makeup is None:
            del self.fields["covers"]
            return
        others = may_be_covered(row.makeup, beside=row.service_id)
        if not others:
            del self.fields["covers"]
            return
        self.fields["covers"].queryset = others  # type: ignore[attr-defined]
        if row.service_id:
            self.initial.setdefault("covers", covered_directly(row))

    def clean(self) -> dict[str, Any]:
        """Read the terms; each fault stands at its field."""
        given = super().clean() or {}
        for name in TERMS:
            self._read(name, given)
        if given.get("season"):
            try:
                given["season"] = parse_season(given["season"])
            except ValueError as no:
                self.add_error("season", str(no))
        if not self.errors:
            self._refuse(given)
        return given

    def _read(self, name: str, given: dict[str, Any]) -> None:
        try:
            given[name] = parse_terms(given.get(name) or "", self.kinds, self.units)
        except ValueError as no:
            self.add_error(name, str(no))

    def _refuse(self, given: dict[str, Any]) -> None:
        """Refuse what hangs in the air: first, late or early on a side that has no interval."""
        every: Terms = given["every"]
        if every.percent is not None:
            self.add_error("every", "A percentage of what? Write it as 100 h or 12 months.")
        for name in ("first", "late", "early"):
            terms: Terms = given[name]
            if terms.on_meter is not None and terms.kind != every.kind:
                self.add_error(name, "It recurs on no such meter; write how often above.")
            if name == "first" and terms.percent is not None:
                self.add_error(name, "A percentage of what? Write it as 20 h or 1 month.")
            if name != "first" and terms.months:
                self.add_error(name, "Write it in days, such as 30 days.")
        if not self.errors:
            self._refuse_row()
        if not self.errors and "covers" in self.fields:
            self._refuse_covers()

    def _refuse_covers(self) -> None:
        """Refuse to cover what it follows, what it keeps apart from, and what leads in a circle."""
        row, covers = self.row(), list(self.ticked or ())
        if row.service in covers:
            self.add_error("covers", f"{row.service} is done by itself anyway; untick it here.")
        apart = never_with(row.service)
        if both := [str(one) for one in covers if one in apart]:
            self.add_error(
                "covers",
                f"It covers {', '.join(both)}, so it cannot also follow it or keep apart from it.",
            )
        here = covers_by_makeup().get(row.makeup_id or 0, {})
        here |= {row.service_id: {pk for one in covers for pk in (one.pk, *here.get(one.pk, ()))}}
        follows = what_follows()
        way = next(filter(None, (circle_in(follows, {0: here}, pk) for pk in follows)), None)
        if way and covers:
            self.add_error("covers", f"That is a circle: {say_circle(way)}. Untick one of them.")

    def _refuse_row(self) -> None:
        row = self.row()
        try:
            row.clean()
        except ValidationError as no:
            self.add_error("every", no.messages[0])

    @property
    def ticked(self) -> list[Service] | None:
        """What was ticked; None where nothing can be."""
        return list(self.cleaned_data["covers"]) if "covers" in self.fields else None

    def row(self) -> Interval:
        """Return the interval that was written, not saved."""
        given = self.cleaned_data
        every, first, late, early = (given[name] for name in TERMS)
        month, day = given["season"] or (None, None)
        row = copy(self.instance) if self.instance else Interval()
        if "service" in self.fields:
            row.service = given["service"]
        row.meter_kind, row.every = every.kind, every.on_meter
        row.every_months, row.every_days = every.months, every.days
        row.first_at, row.first_months, row.first_days = first.on_meter, first.months, first.days
        row.late, row.late_days, row.late_percent = late.on_meter, late.days, late.percent
        row.early, row.early_days, row.early_percent = early.on_meter, early.days, early.percent
        row.season_month, row.season_day = month, day
        for name in ("idle_months", "anchor", "end_of_month", "hard", "source"):
            setattr(row, name, given[name])
        return row


def as_typed(row: Interval, units: str) -> dict[str, Any]:
    """Return an interval as it is typed."""
    season = f"{row.season_day} {MONTH[row.season_month - 1]}" if row.season_month else ""
    return {
        "every": say_terms(every_of(row), units),
        "first": say_terms(first_of(row), units),
        "late": say_terms(late_of(row), units),
        "early": say_terms(early_of(row), units),
        "season": season,
        "idle_months": row.idle_months,
        "anchor": row.anchor,
        "end_of_month": row.end_of_month,
        "hard": row.hard,
        "source": row.source,
    }
