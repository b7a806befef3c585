"""Would plans have done better? The shop's own past, lived through again."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from fleet.access import roles, signed_in
from fleet.models import Shop
from fleet.refusal import Refusal
from fleet.table_answer import answered
from scheduling.actions.live_again import ask_past, stop_past
from scheduling.forms.machines_form import ShopChoice
from scheduling.queries.exported_rows import hindsight_table
from scheduling.queries.lived_pasts import lived_past


@roles()
@require_GET
def hindsight_page(request: HttpRequest) -> HttpResponse:
    """Show what came of one shop's past, or how far it is."""
    choice = ShopChoice(request.GET, person=signed_in(request))
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    context = {
        "choice": choice,
        "shop": shop,
        "today": now.astimezone(shop.zone).date(),
        "page": lived_past(shop, now),
        "here": _address(shop),
    }
    part = request.htmx and not request.htmx.boosted  # type: ignore[attr-defined]
    name = "_lived_past" if part else "hindsight"
    return render(request, f"scheduling/{name}.html", context)


@roles()
@require_POST
def ask(request: HttpRequest) -> HttpResponse:
    """Have the last year lived through again."""
    shop = _shop(request)
    if shop is None:
        return redirect("hindsight")
    try:
        ask_past(shop, by=signed_in(request), now=timezone.now())
    except Refusal as no:
        messages.error(request, no.sentence)
    return redirect(_address(shop))


@roles()
@require_POST
def stop(request: HttpRequest) -> HttpResponse:
    """Stop what is under way; it can be asked for again."""
    shop = _shop(request)
    if shop is None:
        return redirect("hindsight")
    if stop_past(shop, now=timezone.now()):
        messages.success(request, "Stopped. You can ask for it again.")
    return redirect(_address(shop))


@roles()
@require_GET
def figures_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Return the figures of the last past that was lived, as a file."""
    shop = _shop(request)
    last = lived_past(shop, timezone.now()).last if shop else None
    return answered(hindsight_table(last.result if last else {}), kind)


def _shop(request: HttpRequest) -> Shop | None:
    return ShopChoice(request.GET, person=signed_in(request)).chosen()


def _address(shop: Shop) -> str:
    return f"{reverse('hindsight')}?shop={shop.pk}"


paths = [
    path("hindsight/", hindsight_page, name="hindsight"),
    path("hindsight/figures.<slug:kind>", figures_file, name="hindsight-file"),
    path("hindsight/ask/", ask, name="hindsight-ask"),
    path("hindsight/stop/", stop, name="hindsight-stop"),
]
