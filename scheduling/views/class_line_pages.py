"""A class promised without a machine: added to a hire, given its machine, called off."""

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
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.promise_classes import choose_machine, promise_class
from scheduling.availability.counter_facts import Days
from scheduling.forms.customer_forms import MoreForm
from scheduling.queries.hire_lines import usual_class_value
from scheduling.queries.open_classes import choices_for, lines_on, open_lines_of


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
        hire, of, typed["yard"], first, last, value, f"{key}-class" if key else None
    )


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def class_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Show which machines a class can be given, the best first; one press takes it."""
    person, now = signed_in(request), timezone.now()
    line = get_object_or_404(open_lines_of(person), pk=pk)
    today = now.astimezone(line.yard.zone).date()
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
    context = {
        "line": line,
        "today": today,
        "choices": choices_for(line, today),
        "said": Days(line.first_day, line.last_day).said(today),
    }
    return render(request, "scheduling/class_line.html", context)


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
    path("counter/classes/<int:pk>/off/", off, name="class-line-off"),
]
