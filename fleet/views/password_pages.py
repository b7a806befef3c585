"""One's own password, being signed out everywhere, and the page to which a link leads."""

from django.contrib import messages
from django.contrib.auth import authenticate, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import signed_in
from fleet.actions.set_passwords import set_password, sign_out_everywhere, take_link
from fleet.forms.password_forms import NewPasswordForm, OwnPasswordForm
from fleet.password_links import person_of_link
from fleet.refusal import Refusal

WRONG = "This is not your password as it is now; capitals matter."
OVER = 410
"""Status of a link that opens nothing any more (RFC 9110 section 15.5.11)."""


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def own_password(request: HttpRequest) -> HttpResponse:
    """Let somebody choose their own password; a wrong old one is counted as at the door."""
    person = signed_in(request)
    form = OwnPasswordForm(person, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        if authenticate(request, username=person.username, password=typed["old"]) == person:
            set_password(person, typed["password"], by=person, now=timezone.now())
            update_session_auth_hash(request, person)
            messages.success(request, "Your new password is kept. Other devices are signed out.")
            return redirect("own-password")
        form.add_error("old", WRONG)
    return render(request, "fleet/own_password.html", {"form": form})


@require_POST
def everywhere(request: HttpRequest) -> HttpResponse:
    """Sign a person out wherever they are signed in, here too."""
    person = signed_in(request)
    sign_out_everywhere(person, by=person, now=timezone.now())
    logout(request)
    messages.success(request, "You are signed out everywhere.")
    return redirect("sign-in")


@sensitive_post_parameters()
@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def new_password(request: HttpRequest, pk: int, token: str) -> HttpResponse:
    """Let whoever has the link choose a password; opening it changes nothing."""
    person = person_of_link(pk, token)
    if person is None:
        return render(request, "fleet/new_password.html", {"over": True}, status=OVER)
    form = NewPasswordForm(person, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            take_link(pk, token, form.cleaned_data["password"], now=timezone.now())
        except Refusal:
            return render(request, "fleet/new_password.html", {"over": True}, status=OVER)
        messages.success(request, "Your new password is kept: sign in with it.")
        return redirect("sign-in")
    return render(request, "fleet/new_password.html", {"form": form, "person": person})


paths = [
    path("password/", own_password, name="own-password"),
    path("password/sign-out-everywhere/", everywhere, name="sign-out-everywhere"),
    path("password/new/<int:pk>/<str:token>/", new_password, name="new-password"),
]
