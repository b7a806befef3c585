"""A machine's life: another tag or yard, retired, brought back, merged; its bookings asked."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.actions.merge_machines import merge_machines
from fleet.actions.rename_machines import rename_machine
from fleet.actions.retire_machines import bring_back
from fleet.models import Machine, Role
from fleet.refusal import Refusal
from fleet.saying import counted
from fleet.todays_tag import led_by_tag
from scheduling.actions.answer_bookings import (
    LifeChange,
    answer_bookings,
    move_and_answer,
    retire_and_answer,
)
from scheduling.forms.machine_life_forms import (
    BackForm,
    BookingsForm,
    FatesForm,
    MergeForm,
    MoveMachineForm,
    RenameForm,
    RetireForm,
)
from scheduling.queries.machine_list import machine_with_state
from scheduling.queries.swap_choices import asked_bookings

SHOWN_AND_SENT = ["GET", "HEAD", "POST"]


def _machine(request: HttpRequest, tag: str) -> Machine:
    found = machine_with_state(signed_in(request), tag)
    if found is None:
        raise Http404(f"There is no machine {tag} in your yards.")
    return found


def _day(machine: Machine, now: datetime) -> date:
    return now.astimezone(machine.yard.zone).date()


def _change(
    request: HttpRequest, machine: Machine, form: Form, words: dict[str, str],
    do: Callable[[], tuple[Machine, str]],
) -> HttpResponse:  # fmt: skip
    """Show a form of a machine's life, or do what was sent and go to its page."""
    if request.method == "POST" and form.is_valid():
        try:
            done, said = do()
        except Refusal as no:
            _refuse(form, no)
        else:
            messages.success(request, said)
            return redirect("machine", done.tag)
    context: dict[str, Any] = {"machine": machine, "form": form, **words}
    context["fates"] = form.fate_fields if isinstance(form, FatesForm) else []
    context["plain"] = form.plain_fields if isinstance(form, FatesForm) else list(form)
    status = 422 if form.errors else 200
    return render(request, "scheduling/machine_life.html", context, status=status)


def _refuse(form: Form, no: Refusal) -> None:
    """Show a refusal where it belongs; one that asks shows what it asks for."""
    if no.field == "take_former" and isinstance(form, RenameForm):
        form.ask_take_former()
    if no.field == "sure" and isinstance(form, MergeForm):
        form.ask_sure()
    form.add_error(no.field if no.field in form.fields else None, no.sentence)


def _told(form: FatesForm, by: Any, now: datetime) -> LifeChange:
    return LifeChange(by, now, form.cleaned_data["reason"], form.fates())


@roles()
@led_by_tag
@require_http_methods(SHOWN_AND_SENT)
def rename(request: HttpRequest, tag: str) -> HttpResponse:
    """Give a machine another tag."""
    machine, now = _machine(request, tag), timezone.now()
    form = RenameForm(request.POST if request.method == "POST" else None)
    words = {
        "title": f"Rename {tag}",
        "answer": f"Labels and links with {tag} will lead to the machine under its new tag.",
        "press": "Rename it",
    }

    def do() -> tuple[Machine, str]:
        typed = form.cleaned_data
        done = rename_machine(
            machine, typed["tag"], reason=typed["reason"], by=signed_in(request), now=now,
            take_former=typed["take_former"],
        )  # fmt: skip
        return done, f"{tag} is {done.tag} now. Labels and links with {tag} still lead here."

    return _change(request, machine, form, words, do)


@roles()
@led_by_tag
@require_http_methods(SHOWN_AND_SENT)
def move(request: HttpRequest, tag: str) -> HttpResponse:
    """Let a machine live in another yard."""
    machine, now, person = _machine(request, tag), timezone.now(), signed_in(request)
    today = _day(machine, now)
    form = MoveMachineForm(
        request.POST if request.method == "POST" else None, machine=machine, person=person,
        asked=asked_bookings(machine, person, today), today=today,
    )  # fmt: skip
    words = {
        "title": f"Move {tag} to another yard",
        "answer": f"It lives at {machine.yard}, served by {machine.yard.shop}."
        " Its dates, units and shop become those of the new yard.",
        "fates_answer": "Where another shop serves the new yard, each needs an answer.",
        "press": "Move it",
    }

    def do() -> tuple[Machine, str]:
        done = move_and_answer(machine, form.cleaned_data["yard"], _told(form, person, now))
        return done, f"{tag} lives at {done.yard} now, served by {done.yard.shop}."

    return _change(request, machine, form, words, do)


@roles()
@led_by_tag
@require_http_methods(SHOWN_AND_SENT)
def retire(request: HttpRequest, tag: str) -> HttpResponse:
    """Retire a machine."""
    machine, now, person = _machine(request, tag), timezone.now(), signed_in(request)
    today = _day(machine, now)
    form = RetireForm(
        request.POST if request.method == "POST" else None,
        asked=asked_bookings(machine, person, today), today=today,
    )  # fmt: skip
    words = {
        "title": f"Retire {tag}",
        "answer": "It leaves the plan and the counter; its book and readings stay.",
        "fates_answer": "Say what becomes of each.",
        "press": "Retire it",
    }

    def do() -> tuple[Machine, str]:
        done = retire_and_answer(machine, form.cleaned_data["day"], _told(form, person, now))
        return done, f"{tag} is retired. It can be brought back from its page."

    return _change(request, machine, form, words, do)


@roles()
@led_by_tag
@require_http_methods(SHOWN_AND_SENT)
def back(request: HttpRequest, tag: str) -> HttpResponse:
    """Bring a retired machine back to work."""
    machine, now = _machine(request, tag), timezone.now()
    form = BackForm(request.POST if request.method == "POST" else None)
    words = {
        "title": f"Bring {tag} back",
        "answer": "It works again: its services fall due as its book says, and it is planned.",
        "press": "Bring it back",
    }

    def do() -> tuple[Machine, str]:
        reason = form.cleaned_data["reason"]
        return bring_back(machine, reason=reason, by=signed_in(request), now=now), (
            f"{tag} works again."
        )

    return _change(request, machine, form, words, do)


@roles()
@led_by_tag
@require_http_methods(SHOWN_AND_SENT)
def merge(request: HttpRequest, tag: str) -> HttpResponse:
    """Make one machine of two entries."""
    machine, now, person = _machine(request, tag), timezone.now(), signed_in(request)
    form = MergeForm(request.POST if request.method == "POST" else None, person=person)
    words = {
        "title": f"{tag} was entered twice",
        "answer": f"{tag} stays, with readings, book, findings and bookings of both. The other"
        " entry is retired and leads to it.",
        "press": f"Merge the other into {tag}",
    }

    def do() -> tuple[Machine, str]:
        typed = form.cleaned_data
        other = typed["other"]
        done = merge_machines(
            machine, other, reason=typed["reason"], by=person, now=now, sure=typed["sure"]
        )
        return done, f"{other} and {tag} are one machine now, {tag}."

    return _change(request, machine, form, words, do)


@roles(Role.DESK)
@led_by_tag
@require_http_methods(SHOWN_AND_SENT)
def bookings(request: HttpRequest, tag: str) -> HttpResponse:
    """Ask what becomes of each booking of a machine that cannot go, and do it."""
    machine, now, person = _machine(request, tag), timezone.now(), signed_in(request)
    today = _day(machine, now)
    asked = asked_bookings(machine, person, today)
    posted = request.POST if request.method == "POST" else None
    form = BookingsForm(posted, asked=asked, today=today)
    words = {
        "title": f"Bookings of {tag}",
        "answer": f"{counted(len(asked), 'booking')} to come: say what becomes of each."
        if asked
        else "No booking is to come.",
        "press": "Do this" if asked else "",
    }

    def do() -> tuple[Machine, str]:
        answer_bookings(_told(form, person, now))
        return machine, f"The bookings of {tag} are answered for."

    return _change(request, machine, form, words, do)


paths = [
    path("machines/<str:tag>/rename/", rename, name="machine-rename"),
    path("machines/<str:tag>/move/", move, name="machine-move"),
    path("machines/<str:tag>/retire/", retire, name="machine-retire"),
    path("machines/<str:tag>/back/", back, name="machine-back"),
    path("machines/<str:tag>/merge/", merge, name="machine-merge"),
    path("machines/<str:tag>/bookings/", bookings, name="machine-bookings"),
]
