"""A class promised without a machine: added to a hire, changed, given its machine, called off."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.class_lines import NewClassLine, call_off_line
from fleet.models import Hire, Role
from fleet.queries.customer_list import hires_of
from fleet.queries.mine import machines_of
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.promise_classes import (
    call_line_back_in,
    change_class_line,
    choose_machine,
    promise_class,
)
from scheduling.availability.counter_facts import wanted_still
from scheduling.forms.customer_forms import ClassLineForm, MoreForm
from scheduling.queries.hire_lines import usual_class_value
from scheduling.queries.open_classes import choices_for, lines_on, open_lines_of
from scheduling.views.counter_page import as_query


@roles(Role.DESK)
@require_POST
def add_class(request: HttpRequest, pk: int) -> HttpResponse:
    """Promise any machine of a class on a hire."""
    person, now = signed_in(request), timezone.now()
    hire = get_object_or_404(hires_of(person), pk=pk)
    form = MoreForm(request.POST, person=person, today=now.date())
    form.fields["yard"].required = True
    if not form.is_valid():
        messages.error(request, _first_fault(form))
        return redirect("hire", pk)
    try:
        line = promise_class(_new(hire, form, request), Decision(person, now))
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, f"Any {line.machine_class} is booked for {hire.who}.")
    return redirect("hire", pk)


def _first_fault(form: forms.Form) -> str:
    return " ".join(str(faults[0]) for faults in form.errors.values())


def _new(hire: Hire, form: MoreForm, request: HttpRequest) -> NewClassLine:
    typed = form.cleaned_data
    first, last, of = typed["first_day"], typed["last_day"], typed["machine_class"]
    key = request.POST.get("form_key", "")[:20].replace("\x00", "")
    value = usual_class_value(of, first, last)
    return NewClassLine(
        hire, of, typed["yard"], first, last, value, f"{key}-class" if key else None,
        typed["from_time"], typed["to_time"],
    )  # fmt: skip


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def class_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Show which machines a class can be given, the best first; one press takes it."""
    person, now = signed_in(request), timezone.now()
    line = get_object_or_404(open_lines_of(person), pk=pk)
    today = now.astimezone(line.yard.zone).date()
    form = ClassLineForm(None, line, person=person, today=today)
    if request.method == "POST":
        tag = request.POST.get("tag", "")
        machine = get_object_or_404(machines_of(person), tag=tag)
        try:
            booking = choose_machine(line, machine, Decision(person, now))
        except Refusal as no:
            messages.error(request, no.sentence)
        else:
            messages.success(request, f"{machine.tag} is chosen for {line.hire.who}.")
            return redirect("booking", booking.pk)
    days = wanted_still(line, today)
    context = {
        "line": line,
        "today": today,
        "choices": choices_for(line, today),
        "form": form,
        "logged": changes_to(line),
        "said": days.said(today),
        "query": as_query(days, None),
    }
    return render(request, "scheduling/class_line.html", context)


@roles(Role.DESK)
@require_POST
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change class, yard, days or value of a line."""
    person, now = signed_in(request), timezone.now()
    line = get_object_or_404(open_lines_of(person), pk=pk)
    today = now.astimezone(line.yard.zone).date()
    form = ClassLineForm(request.POST, line, person=person, today=today)
    if not form.is_valid():
        messages.error(request, _first_fault(form))
        return redirect("class-line", pk)
    decision = Decision(person, now, form.cleaned_data["why"].strip())
    try:
        change_class_line(line, form.right(line), decision)
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, "It is changed; what it said before stays on record.")
    return redirect("class-line", pk)


@roles(Role.DESK)
@require_POST
def back_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Call a class back in that was called off."""
    person = signed_in(request)
    line = get_object_or_404(lines_on(hires_of(person)), pk=pk)
    try:
        call_line_back_in(line, Decision(person, timezone.now()))
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, f"Any {line.machine_class} stands again.")
    return redirect("hire", line.hire_id)


@roles(Role.DESK)
@require_POST
def off(request: HttpRequest, pk: int) -> HttpResponse:
    """Call a class off."""
    person = signed_in(request)
    line = get_object_or_404(lines_on(hires_of(person)), pk=pk)
    try:
        call_off_line(line, by=person, now=timezone.now())
    except Refusal as no:
        messages.error(request, no.sentence)
    else:
        messages.success(request, f"Any {line.machine_class} is called off.")
    return redirect("hire", line.hire_id)


paths = [
    path("counter/hires/<int:pk>/class/", add_class, name="hire-add-class"),
    path("counter/classes/<int:pk>/", class_line, name="class-line"),
    path("counter/classes/<int:pk>/change/", change, name="class-line-change"),
    path("counter/classes/<int:pk>/off/", off, name="class-line-off"),
    path("counter/classes/<int:pk>/back-in/", back_in, name="class-line-back-in"),
]
