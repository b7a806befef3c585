"""Who of other shops may look at one's own: let somebody, and no longer."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.let_look import let_look
from fleet.asked_shop import asked_shop
from fleet.forms.let_look_form import LetLookForm
from fleet.models import Shop
from fleet.queries.mine import shops_of
from fleet.queries.who_looks import lookers
from fleet.refusal import Refusal


def _back(shop: Shop) -> HttpResponse:
    return redirect(reverse("who-looks", query={"shop": shop.name}))


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def who_looks(request: HttpRequest) -> HttpResponse:
    """Show who may look at a shop of theirs; let somebody of another."""
    shop, by, now = asked_shop(request), signed_in(request), timezone.now()
    form = LetLookForm(shop, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            let_look(form.person, shop, may=True, by=by, now=now)
            messages.success(request, f"{form.person} may look at {shop}.")
            return _back(shop)
        except Refusal as no:
            form.add_error("username", no.sentence)
    context = {
        "shop": shop, "shops": shops_of(by), "form": form, "lookers": lookers(shop),
        "today": now.astimezone(shop.zone).date(),
    }  # fmt: skip
    return render(request, "fleet/who_looks.html", context)


@roles()
@require_POST
def no_longer(request: HttpRequest, pk: int) -> HttpResponse:
    """Let somebody of another shop look no longer."""
    shop = asked_shop(request)
    person = next((one.person for one in lookers(shop) if one.person.pk == pk), None)
    if person is None:
        raise Http404("They do not look at this shop.")
    let_look(person, shop, may=False, by=signed_in(request), now=timezone.now())
    messages.success(request, f"{person} no longer looks at {shop}.")
    return _back(shop)


paths = [
    path("set-up/who-looks/", who_looks, name="who-looks"),
    path("set-up/who-looks/<int:pk>/no-longer/", no_longer, name="who-looks-end"),
]
