"""The wait list: who waits, what is free for them, somebody put on it, booked, taken off."""

from datetime import date, datetime, timedelta
from secrets import token_hex
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.actions.wait_list import correct_wait, end_wait, put_back_on_list
from fleet.models import Person, Role, Waiting
from fleet.queries.customer_list import customer_numbered
from fleet.queries.last_act import last_act
from fleet.queries.mine import day_of, machines_of, shops_of, yards_of
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.serve_waits import book_waiting, put_on_list
from scheduling.forms.counter_forms import QuestionForm
from scheduling.forms.wait_form import WaitChangeForm, WaitForm
from scheduling.queries.waits_to_serve import WaitTyped, own_waits, taken_off, waits_with_free
from scheduling.views.booking_pages import refuse

LATELY = timedelta(days=7)
"""How long one who was taken off can be put back from the list's page."""


@roles(Role.DESK)
@require_safe
def waits(request: HttpRequest) -> HttpResponse:
    """Show who waits, those who can be served by now first."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    rows = waits_with_free(shops_of(person), today)
    context = {
        "rows": rows,
        "today": today,
        "free": sum(bool(one.free) for one in rows),
        "ended": taken_off(person, now - LATELY),
        "last_act": last_act(person, now),
    }
    return render(request, "scheduling/waits.html", context)


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def wait(request: HttpRequest) -> HttpResponse:
    """Put somebody on the list."""
    person, now = signed_in(request), timezone.now()
    today = day_of(person, now)
    if request.method != "POST":
        form = WaitForm(person=person, today=today, initial=_asked(request, person, today))
        return _form_page(request, form, today)
    form = WaitForm(request.POST, person=person, today=today, initial={})
    if form.is_valid():
        try:
            row = put_on_list(_typed(form), form.who(), Decision(person, now))
        except Refusal as no:
            refuse(form, no)
        else:
            messages.success(request, f"{row.customer} is on the wait list.")
            return redirect("waits")
    return _form_page(request, form, today)


def _form_page(request: HttpRequest, form: WaitForm, today: date) -> HttpResponse:
    return render(request, "scheduling/wait.html", {"form": form, "today": today})


def _asked(request: HttpRequest, person: Person, today: date) -> dict[str, Any]:
    """Return what the address says already: customer, class, days."""
    asked = QuestionForm(request.GET, person=person, today=today)
    asked.is_valid()
    typed = getattr(asked, "cleaned_data", {})
    first = typed.get("first_day") or today
    last = typed.get("last_day") or first + timedelta(days=3)
    customer = customer_numbered(request.GET.get("customer", ""))
    return {
        "customer": customer.name if customer else "",
        "phone": customer.phone if customer else "",
        "machine_class": typed.get("machine_class"),
        "first_day": first,
        "last_day": max(first, last),
        "from_time": typed.get("from_time"),
        "to_time": typed.get("to_time"),
        "yard": typed.get("yard") or next(iter(yards_of(person)), None),
        "form_key": token_hex(10),
    }


def _typed(form: WaitForm) -> WaitTyped:
    typed = form.cleaned_data
    return WaitTyped(
        typed["machine_class"], typed["yard"], typed["first_day"], typed["last_day"],
        typed["tag"], typed["note"], typed["form_key"], typed["from_time"], typed["to_time"],
    )  # fmt: skip


def _mine(person: Person, pk: int) -> Waiting:
    return get_object_or_404(own_waits(person), pk=pk)


@roles(Role.DESK)
@require_POST
def serve(request: HttpRequest, pk: int) -> HttpResponse:
    """Book a machine for somebody who waits."""
    person, now = signed_in(request), timezone.now()
    row = _mine(person, pk)
    machine = get_object_or_404(machines_of(person), tag=request.POST.get("tag", ""))
    try:
        booking = book_waiting(row, machine, Decision(person, now))
    except Refusal as no:
        messages.error(request, no.sentence)
        return redirect("waits")
    messages.success(request, f"{machine.tag} is booked for {row.customer}.")
    return redirect("booking", booking.pk)


@roles(Role.DESK)
@require_POST
def off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take somebody off the list."""
    row = _mine(signed_in(request), pk)
    now: datetime = timezone.now()
    end_wait(row, by=signed_in(request), now=now)
    messages.success(request, f"{row.customer} is off the wait list.")
    return redirect("waits")


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what somebody waits for."""
    person, now = signed_in(request), timezone.now()
    row, today = _mine(person, pk), day_of(person, now)
    form = WaitChangeForm(
        request.POST if request.method == "POST" else None, row, person=person, today=today
    )
    if form.is_valid():
        try:
            correct_wait(row, form.right(row), by=person, now=now)
        except Refusal as no:
            refuse(form, no)
        else:
            messages.success(request, f"It is changed; {row.customer} still waits.")
            return redirect("waits")
    context = {"form": form, "today": today, "row": row, "logged": changes_to(row)}
    return render(request, "scheduling/wait_change.html", context)


@roles(Role.DESK)
@require_POST
def back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put somebody back on the list who was taken off."""
    row = _mine(signed_in(request), pk)
    if put_back_on_list(row, by=signed_in(request), now=timezone.now()):
        messages.success(request, f"{row.customer} waits again.")
    return redirect("waits")


paths = [
    path("counter/waits/<int:pk>/", change, name="wait-change"),
    path("counter/waits/<int:pk>/back/", back, name="wait-back"),
    path("counter/waits/", waits, name="waits"),
    path("counter/waits/new/", wait, name="wait"),
    path("counter/waits/<int:pk>/book/", serve, name="wait-book"),
    path("counter/waits/<int:pk>/off/", off, name="wait-off"),
]
