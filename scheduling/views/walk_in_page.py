"""Somebody walks in: booked and checked out from one page, or neither.

The page asks who, what and until when, and shows the sheet of one machine below: meters,
walk-round, signature.  What is typed stays when another machine's sheet is looked at, but for what
was seen on the machine itself.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.actions.make_bookings import NewBooking
from fleet.booked_times import due_back
from fleet.forms.hand_over_form import HandOverForm
from fleet.models import Machine, Role
from fleet.photos_aside import PhotosAside
from fleet.queries.machine_classes import class_numbered
from fleet.queries.mine import machines_of
from fleet.queries.open_holds import holds_standing
from fleet.queries.safety_findings import open_safety_findings
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.take_hand_over import Handed, let_walk_in
from scheduling.availability.counter_facts import Days
from scheduling.forms.extras_forms import WithHandOverForm
from scheduling.forms.walk_in_form import WalkInForm
from scheduling.queries.hire_lines import usual_value
from scheduling.queries.may_go_out import may_go_between, which_may
from scheduling.views.booking_pages import day_in
from scheduling.views.hand_over_pages import form_of
from scheduling.views.photo_uploads import TOO_MUCH, too_large

OUT = "out"
"""The press that lets it out; any other shows the sheet that fits what is typed."""


@csrf_exempt  # the size is looked at before anything of the form is read; then it is protected
@require_http_methods(["GET", "HEAD", "POST"])
def walk_in(request: HttpRequest) -> HttpResponse:
    """Ask who, what and until when; book it and let it out."""
    return _too_much(request) if too_large(request) else _walk_in(request)


@roles(Role.DESK)
def _too_much(request: HttpRequest) -> HttpResponse:
    messages.error(request, TOO_MUCH)
    return redirect("walk-in")


@dataclass(frozen=True)
class _Sheet:
    """What is filled in of one machine; hand, extras: None while no machine is chosen."""

    who: WalkInForm
    machine: Machine | None = None
    hand: HandOverForm | None = None
    extras: WithHandOverForm | None = None


@csrf_protect
@roles(Role.DESK)
def _walk_in(request: HttpRequest) -> HttpResponse:
    person, now = signed_in(request), timezone.now()
    acts = request.method == "POST" and request.POST.get("do") == OUT
    if acts:
        sheet = _filled(request, WalkInForm(request.POST, person=person, now=now))
        if done := _let(request, sheet, now):
            return done
        return _page(request, sheet, now)
    sent = request.POST if request.method == "POST" else request.GET
    typed = {name: str(value).replace("\x00", "") for name, value in sent.items()}
    usual = {"last_day": None, "form_key": token_hex(10)}
    who = WalkInForm(person=person, now=now, initial=usual | typed)
    sheet = _shown(who, typed | {"form_key": who.initial["form_key"]}, now)
    if sheet.machine is not None and sheet.machine.tag == typed.get("sheet"):
        sheet = replace(sheet, extras=_still_typed(request, sheet.machine))
    return _page(request, sheet, now)


def _still_typed(request: HttpRequest, machine: Machine) -> WithHandOverForm:
    """Return photos and charges of a sheet that is only looked at again; no fault is said yet."""
    sent = _extras_sent(request, machine)
    sent.is_valid()
    sent.look()
    sent.errors.clear()
    return sent


def _filled(request: HttpRequest, who: WalkInForm) -> _Sheet:
    """Return the sheet as it was sent, of the machine that it was shown for."""
    machine = who.machine_named()
    if machine is None or machine.tag != who.said("sheet"):
        typed = {name: str(value) for name, value in request.POST.items()}
        who.is_valid()
        sheet = _shown(who, typed, who.now)
        if sheet.machine is not None and machine is not None:
            who.add_error("tag", f"Below is the sheet of {sheet.machine.tag} now: look it round.")
        return sheet
    asked = open_safety_findings(machine) if machine.asks else []
    hand = form_of(request.POST, machine, asked=asked, initial={}, now=who.now)
    return _Sheet(who, machine, hand, _extras_sent(request, machine))


def _extras_sent(request: HttpRequest, machine: Machine) -> WithHandOverForm:
    """Return photos and charges as they were sent with the sheet of a machine."""
    key = request.POST.get("form_key", "")
    aside = PhotosAside.of(signed_in(request), key, machine.tag) if key else None
    return WithHandOverForm(request.POST, request.FILES, aside=aside)


def _shown(who: WalkInForm, typed: dict[str, str], now: datetime) -> _Sheet:
    """Return the sheet that fits what is typed so far; another machine's begins empty."""
    machine = _chosen(who, now)
    if machine is None:
        return _Sheet(who)
    if machine.tag != who.said("sheet"):
        kept = ("note", "taken_by", "use_said", "hours_a_day", "reason", "form_key")
        typed = {name: typed[name] for name in kept if name in typed}
    if not who.is_bound:
        chosen = {"tag": machine.tag, "machine_class": machine.makeup.machine_class_id}
        # a form anew: one that was asked for its values keeps them
        who = WalkInForm(person=who.person, now=now, initial={**who.initial, **chosen})
    hand = form_of(None, machine, asked=open_safety_findings(machine), initial=typed, now=now)
    return _Sheet(who, machine, hand, WithHandOverForm(initial=typed))


def _chosen(who: WalkInForm, now: datetime) -> Machine | None:
    """Return the machine that is meant: of the tag, or the best of a class chosen anew."""
    machine, of = who.machine_named(), who.said("machine_class")
    stays = machine is not None and (who.said("tag") != who.said("sheet") or _is_of(machine, of))
    found = None if stays else class_numbered(of)
    if found is None:
        return machine
    days = who.until()
    asked = Days(who.today, days.last_day, now=now, to_time=days.to_time)
    answers = which_may(found, asked, who.today, among=machines_of(who.person))
    return answers[0].machine if answers else None


def _is_of(machine: Machine, machine_class: str) -> bool:
    return machine_class in ("", str(machine.makeup.machine_class_id))


def _let(request: HttpRequest, sheet: _Sheet, now: datetime) -> HttpResponse | None:
    """Book it and let it out; None if there is something to mend first."""
    who, hand, extras, machine = sheet.who, sheet.hand, sheet.extras, sheet.machine
    if hand is None or extras is None or machine is None or not hand.is_bound:
        return None
    extras.is_valid()
    made = extras.look()
    valid = all([who.is_valid(), hand.is_valid(), extras.is_valid()])
    reason = str(hand.cleaned_data.get("reason", "")).strip()
    decision = Decision(signed_in(request), now, reason)
    key = str(hand.cleaned_data.get("form_key", ""))
    readings, unread = (hand.readings(), hand.unread()) if valid else ([], [])
    handed = Handed(key, readings, unread, hand.seen(), hand.unsafe_said(), hand.still_unsafe())
    if not valid and not handed.stays:
        return None
    handed = replace(handed, along=extras.along(key, made, whole=valid))
    try:
        row = let_walk_in(_new(who, machine, decision, key), handed, decision)
    except Refusal as no:
        _refuse(who, hand, no)
        return None
    extras.let_go()
    if row is not None:
        messages.success(request, f"{machine.tag} is booked for {row.booking.customer} and out.")
        return redirect("booking", row.booking_id)
    for hold in holds_standing(machine):
        messages.warning(request, f"{machine.tag} is held: {hold.reason}.")
    return redirect("walk-in")


def _new(who: WalkInForm, machine: Machine, decision: Decision, key: str) -> NewBooking:
    typed = who.cleaned_data
    first = decision.day(machine)
    last = max(typed.get("last_day", first), first)
    value = typed.get("value")
    if value is None:
        value = usual_value(machine, first, last)
    facts = who.who() if who.is_valid() else None
    return NewBooking(
        machine, first, last, typed.get("customer", ""), value, f"{key}-walk-in"[:40],
        who=facts, to_time=typed.get("to_time"),
    )  # fmt: skip


def _refuse(who: WalkInForm, hand: HandOverForm, no: Refusal) -> None:
    """Show a refusal where it belongs: at who and until when, or on the sheet."""
    if no.field in who.fields:
        who.add_error(no.field, no.sentence)
    elif no.field == "first_day":
        who.add_error("last_day", no.sentence)
    else:
        hand.refuse(no)


def _page(request: HttpRequest, sheet: _Sheet, now: datetime) -> HttpResponse:
    if sheet.extras is not None:
        sheet.extras.put_aside(now)
    context: dict[str, Any] = {"who": sheet.who, "today": sheet.who.today, "out": True}
    if sheet.machine is not None and sheet.hand is not None:
        context |= _about(sheet, sheet.machine, sheet.hand, now)
    return render(request, "scheduling/walk_in.html", context)


def _about(sheet: _Sheet, machine: Machine, hand: HandOverForm, now: datetime) -> dict[str, Any]:
    today, days = day_in(machine, now), sheet.who.until()
    last = max(days.last_day, today)
    until = replace(days, first_day=today, last_day=last)
    asked = Days(today, last, now=now, to_time=days.to_time)
    if due_back(until, machine.yard.zone) <= now:
        asked = Days(today, last, now=now)
    answer = may_go_between(machine, asked, today)
    hand.fields["reason"].required = not answer.yes  # for the page: what was sent is judged
    return {
        "machine": machine, "yard": machine.yard, "form": hand, "extras": sheet.extras,
        "answer": answer, "today": today, "said": asked.said(today),
        "usual": usual_value(machine, today, last),
    }  # fmt: skip


paths = [path("counter/walk-in/", walk_in, name="walk-in")]
