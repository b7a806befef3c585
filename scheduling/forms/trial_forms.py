"""Which changes can be tried out, and which things that broke can be mended, in their order."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from fleet.models import Person, Shop
from fleet.queries.who_works import alone
from scheduling.forms.booking_change_forms import BackLateForm, BookedForm
from scheduling.forms.breakage_forms import BayLostForm
from scheduling.forms.day_change_forms import (
    AwayForm,
    ChangeForm,
    ClosedForm,
    LentForm,
    OpenedForm,
    OvertimeForm,
)
from scheduling.forms.work_change_forms import GoneForm, LateForm, LongerForm, MovedForm

TRIED: list[type[ChangeForm]] = [
    AwayForm, ClosedForm, LateForm, BookedForm, MovedForm, OvertimeForm, LentForm, OpenedForm,
]  # fmt: skip
BROKEN: list[type[ChangeForm]] = [
    AwayForm, GoneForm, LateForm, BackLateForm, LongerForm, BayLostForm,
]  # fmt: skip


def offered(
    kinds: Sequence[type[ChangeForm]], shop: Shop, today: date, filled: ChangeForm | None = None
) -> list[ChangeForm]:
    """Return an empty form of each kind; the one that was filled in stands in its place."""
    return [
        filled if filled is not None and type(filled) is kind else kind(shop, today)
        for kind in kinds
    ]


def filled_in(
    kinds: Sequence[type[ChangeForm]], what: str, shop: Shop, today: date, data: Any
) -> ChangeForm | None:
    """Return the form that was sent, or None where nothing of that kind is offered."""
    kind = next((each for each in kinds if each.what == what), None)
    return kind(shop, today, data) if kind else None


def only_own_absence(form: ChangeForm, person: Person) -> None:
    """Let a form about who is away name this person alone."""
    if isinstance(form, AwayForm):
        field = form.fields["person"]
        field.queryset = alone(person)  # type: ignore[attr-defined]
        field.initial = person.username
        field.error_messages["invalid_choice"] = "Say of yourself alone that you are away."
