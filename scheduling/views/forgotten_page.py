"""Who forgot the password asks for a letter; the answer never says who is there."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from fleet.forms.password_forms import ForgottenForm
from fleet.sign_in_throttle import note_wrong, wait_here, wait_page
from fleet.sign_in_waits import NONE
from scheduling.actions.send_password_letters import send_password_letter


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """Owe a letter with a link; asking counts like guessing, by the address it comes from."""
    form, now = ForgottenForm(request.POST or None), timezone.now()
    asked = request.method == "POST" and form.is_valid()
    if asked:
        wait = wait_here(request, None, now)
        if wait > NONE:
            request.sign_in_wait = wait  # type: ignore[attr-defined]
            return wait_page(request)
        note_wrong(request, None)
        send_password_letter(form.cleaned_data["username"], now=now)
    return render(request, "scheduling/forgotten.html", {"form": form, "asked": asked})


paths = [path("password/forgotten/", forgotten, name="password-forgotten")]
