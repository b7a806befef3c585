"""Signing in and out, and the way to one's own page."""

from typing import Any

from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from fleet.access import home_of, signed_in
from fleet.forms.sign_in_form import SignInForm
from fleet.queries.by_name import anybody_there
from fleet.typed_before import SESSION_KEY, read_carried, typed_before


class SignInView(LoginView):
    """The sign-in form."""

    template_name = "fleet/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Ask for name and password; on an empty site, for the first account."""
        return super().get(request, *args, **kwargs) if anybody_there() else redirect("first-run")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Carry on what was typed before, when name or password are not right at once."""
        typed = self.request.POST.get("typed", "")
        return super().get_context_data(**kwargs) | {"typed": read_carried(typed) and typed}

    def form_valid(self, form: Any) -> HttpResponse:
        """Sign in, and go on to what was typed before, if anything was."""
        answer: HttpResponse = super().form_valid(form)
        typed = read_carried(self.request.POST.get("typed", ""))
        if typed is None:
            return answer
        self.request.session[SESSION_KEY] = typed
        return redirect("typed-before")


class SignOut(LogoutView):
    """Sign out, then show the sign-in form again."""


def home(request: HttpRequest) -> HttpResponse:
    """Send each person to the page that is theirs."""
    return redirect(home_of(signed_in(request)))


@require_safe
def typed_again(request: HttpRequest) -> HttpResponse:
    """Show that what was typed before is kept, and send it by a press."""
    typed = typed_before(request)
    if typed is None:
        return redirect("home")
    return render(request, "fleet/typed_before.html", {"typed": typed})
