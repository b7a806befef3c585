"""What a phone needs to work without a signal: its worker, who is signed in, what waits on it."""

import hashlib
import json
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import path, reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from fleet.models import Person
from fleet.phone_acts import ACTS, PAGES, pattern_of

WORKER = ("outbox", "kept_pages", "sending", "pressing", "worker")
"""Scripts of the worker, in their order."""


@cache
def static_version() -> str:
    """Return a mark of all styles and scripts as they stand; other ones make a new worker."""
    mark = hashlib.sha256()
    for folder in map(Path, settings.STATICFILES_DIRS):
        for file in sorted(folder.rglob("*.*")):
            mark.update(str(file.relative_to(folder)).encode() + file.read_bytes())
    return mark.hexdigest()[:16]


@login_not_required
@never_cache
@require_safe
def no_signal_worker(request: HttpRequest) -> HttpResponse:
    """Hand out the worker; it stands at the root, so that the whole site is in its reach."""
    told = {
        "version": static_version(),
        "who": reverse("phone-who"),
        "waiting": reverse("no-signal"),
        "signIn": reverse("sign-in"),
        "signOut": reverse("sign-out"),
        "bench": reverse("bench"),
        "round": reverse("meter-round"),
        "home": reverse("home"),
        "sheet": pattern_of("job", ("*",)),
        "acts": [{"at": act.at, "toBench": act.to_bench} for act in ACTS],
        "pages": [pattern_of(name, args) for name, args in PAGES],
    }
    scripts = ", ".join(json.dumps(static(f"js/no_signal/{name}.js")) for name in WORKER)
    text = f'"use strict";\nself.EVENER = {json.dumps(told)};\nimportScripts({scripts});\n'
    return HttpResponse(text, content_type="text/javascript; charset=utf-8")


@login_not_required
@never_cache
@require_safe
def phone_who(request: HttpRequest) -> JsonResponse:
    """Say who is signed in, with a fresh token for what their phone sends."""
    person = str(request.user.pk) if isinstance(request.user, Person) else ""
    return JsonResponse({"person": person, "token": get_token(request)})


@login_not_required
@require_safe
def no_signal(request: HttpRequest) -> HttpResponse:
    """Show what waits on this phone: the phone fills it in, so that it opens without a signal."""
    acts = [(act.at, str(act.words)) for act in ACTS]
    return render(request, "fleet/no_signal.html", {"acts": acts})


paths = [
    path("no-signal-worker.js", no_signal_worker, name="no-signal-worker"),
    path("no-signal/", no_signal, name="no-signal"),
    path("no-signal/who/", phone_who, name="phone-who"),
]
