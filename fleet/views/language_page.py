"""Choosing the language of the pages, signed in or not."""

from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect
from django.urls import path
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from fleet.actions.choose_language import choose_language
from fleet.models import Person, Tongue


@login_not_required
@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Keep a language with the person, and on this browser for the page before signing in."""
    asked = request.POST.get("language", "")
    if asked not in Tongue.values:
        return HttpResponseBadRequest()
    person: Any = request.user
    if isinstance(person, Person):
        choose_language(person, Tongue(asked), now=timezone.now())
    back = request.POST.get("next", "")
    ours = url_has_allowed_host_and_scheme(back, {request.get_host()}, request.is_secure())
    answer = redirect(back if ours and back.startswith("/") else "home")
    answer.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        asked,
        max_age=settings.LANGUAGE_COOKIE_AGE,
        secure=settings.LANGUAGE_COOKIE_SECURE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite="Lax",
    )
    return answer


paths = [path("language/", choose, name="choose-language")]
