"""Signing in and out, and the way to one's own page."""

from typing import Any

from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from fleet.access import home_of, signed_in
from fleet.forms.sign_in_form import SignInForm
from fleet.queries.by_name import anybody_there


class SignInView(LoginView):
    """The sign-in form."""

    template_name = "fleet/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Ask for name and password; on an empty site, for the first account."""
        return super().get(request, *args, **kwargs) if anybody_there() else redirect("first-run")


class SignOut(LogoutView):
    """Sign out, then show the sign-in form again."""


def home(request: HttpRequest) -> HttpResponse:
    """Send each person to the page that is theirs."""
    return redirect(home_of(signed_in(request)))
