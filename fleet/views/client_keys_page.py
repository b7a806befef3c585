"""Keys of other programs: make one, which is shown once, see who has one, revoke it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.make_keys import NewKey, make_key, revoke_key
from fleet.forms.client_key_form import ClientKeyForm
from fleet.models import KeyScope, Person, Shop
from fleet.queries.mine import day_of, home_shop
from fleet.queries.standing_keys import keys_of

LOST = (
    "That key was made already, and is shown once only. If it is lost, revoke it and make another."
)


@roles()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def client_keys(request: HttpRequest) -> HttpResponse:
    """Show the keys; make one, and show it this once."""
    person, now = signed_in(request), timezone.now()
    form = ClientKeyForm(person, request.POST if request.method == "POST" else None)
    made, word = None, ""
    if request.method == "POST" and form.is_valid():
        made, word = make_key(_new(form, person), by=person, now=now)
        form = ClientKeyForm(person)
        if not word:
            messages.error(request, LOST)
    keys = list(keys_of(person))
    context = {
        "form": form, "made": made, "word": word,
        "standing": [key for key in keys if not key.revoked_at],
        "revoked": [key for key in keys if key.revoked_at],
        "today": day_of(person, now), "place": home_shop(person) or Shop(time_zone="UTC"),
    }  # fmt: skip
    return render(request, "fleet/client_keys.html", context)


def _new(form: ClientKeyForm, person: Person) -> NewKey:
    typed = form.cleaned_data
    scopes = [KeyScope(typed["scope"])]
    return NewKey(typed["name"], scopes, typed["shop"], person, typed["form_key"])


@roles()
@require_POST
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a key open nothing any more."""
    person = signed_in(request)
    key = get_object_or_404(keys_of(person), pk=pk)
    revoke_key(key, by=person, now=timezone.now())
    messages.success(request, f"The key of {key.name} is revoked and opens nothing any more.")
    return redirect("client-keys")


paths = [
    path("set-up/keys/", client_keys, name="client-keys"),
    path("set-up/keys/<int:pk>/revoke/", revoke, name="client-key-revoke"),
]
