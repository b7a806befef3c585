"""Middleware: every page asks to sign in but those that say that they need nobody."""

from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render

from fleet.forms.sign_in_form import SignInForm
from fleet.typed_before import carried


class AskToSignIn(LoginRequiredMiddleware):
    """Django's, which asks who is there even where nobody has to be: a page that tells whether the
    site is up answers a browser with a cookie while the database is down too."""

    def process_view(
        self, request: HttpRequest, view_func: Any, view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        """Ask who is there only where somebody has to be."""
        if not getattr(view_func, "login_required", True):
            return None
        answer: HttpResponseBase | None = super().process_view(
            request, view_func, view_args, view_kwargs
        )
        if answer is not None and (typed := carried(request)):
            context = {"form": SignInForm(request), "typed": typed, "next": ""}
            return render(request, "fleet/sign_in.html", context)
        return answer
