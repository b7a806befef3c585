"""What the manual of a make-up says: its build, its figures and its limits, asked for once."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.actions.keep_manual import keep_manual
from fleet.forms.manual_form import ManualForm
from fleet.queries.manual_questions import manual_questions
from fleet.queries.thing_lists import makeups
from fleet.refusal import Refusal
from fleet.saying import counted


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def manual(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask what a make-up's manual says, and keep it."""
    makeup = get_object_or_404(makeups(), pk=pk)
    questions = manual_questions(makeup)
    form = ManualForm(questions, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            kept = keep_manual(makeup, form.said(), by=signed_in(request), now=timezone.now())
        except Refusal as no:
            form.add_error(None, no.sentence)
        else:
            words = f"{counted(kept, 'answer')} kept" if kept else "Nothing was changed"
            messages.success(request, f"{words} for {makeup}.")
            return redirect("manual", pk)
    context = {"makeup": makeup, "questions": questions, "form": form}
    return render(request, "fleet/manual.html", context)


paths = [path("set-up/make-ups/<int:pk>/manual/", manual, name="manual")]
