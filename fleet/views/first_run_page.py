"""An empty site: whoever opens it first makes the first account, which is a manager's."""

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods

from fleet.actions.make_first_account import FirstAccount, make_first_account
from fleet.forms.first_account_form import FirstAccountForm
from fleet.queries.by_name import anybody_there
from fleet.refusal import Refusal


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def first_run(request: HttpRequest) -> HttpResponse:
    """Ask for the first account, and lead on to the first steps."""
    if anybody_there():
        return redirect("sign-in")
    form = FirstAccountForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        typed = FirstAccount(given["username"], given["password"], given["email"])
        try:
            person = make_first_account(typed)
        except Refusal:
            return redirect("sign-in")
        login(request, person, "django.contrib.auth.backends.ModelBackend")
        return redirect("first-steps")
    return render(request, "fleet/first_run.html", {"form": form})


paths = [path("first-run/", first_run, name="first-run")]
