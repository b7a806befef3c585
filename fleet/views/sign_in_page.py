"""Signing in and out, and the way to one's own page."""

from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from fleet.access import home_of, signed_in
from fleet.forms.sign_in_form import SignInForm


class SignInView(LoginView):
    """The sign-in form."""

    template_name = "fleet/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True


class SignOut(LogoutView):
    """Sign out, then show the sign-in form again."""


def home(request: HttpRequest) -> HttpResponse:
    """Send each person to the page that is theirs."""
    return redirect(home_of(signed_in(request)))
