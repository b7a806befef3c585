"""Parts to order for the twelve weeks to come, each put onto the order list by a press."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.models import Shop
from fleet.saying import counted
from fleet.table_answer import answered
from scheduling.actions.order_ahead import order_ahead
from scheduling.forms.machines_form import ShopChoice
from scheduling.forms.yard_filter_form import YardFilter
from scheduling.queries.parts_to_order import WEEKS, parts_to_order
from scheduling.queries.rows_of_parts import parts_table


def _shop(request: HttpRequest) -> tuple[ShopChoice, Shop]:
    choice = ShopChoice(request.GET, person=signed_in(request))
    shop = choice.chosen()
    if shop is None:
        raise Http404("There is no shop yet.")
    return choice, shop


@roles()
@require_safe
def parts(request: HttpRequest) -> HttpResponse:
    """Show what the weeks to come take beyond what there is."""
    choice, shop = _shop(request)
    today = timezone.now().astimezone(shop.zone).date()
    everything, narrow = parts_to_order(shop, today), YardFilter(request.GET, shop=shop)
    wanted = narrow.narrowing()
    found = everything.narrowed(wanted)
    context = {
        "choice": choice, "shop": shop, "today": today, "found": found, "weeks": WEEKS,
        "all": len(everything.rows), "narrow": narrow, "narrowed": wanted.narrows,
        "asked": _asked(request, shop),
        "late": [row for row in found.rows if row.order_by < today],
    }  # fmt: skip
    return render(request, "scheduling/parts_to_order.html", context)


@roles()
@require_safe
def parts_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Return the same as a file."""
    _, shop = _shop(request)
    today = timezone.now().astimezone(shop.zone).date()
    wanted = YardFilter(request.GET, shop=shop).narrowing()
    return answered(parts_table(parts_to_order(shop, today).narrowed(wanted)), kind)


def _asked(request: HttpRequest, shop: Shop) -> str:
    """Return the choices of the address, so that presses keep them."""
    asked = request.GET.copy()
    asked["shop"] = str(shop.pk)
    return str(asked.urlencode())


@roles()
@require_POST
def put_on_list(request: HttpRequest) -> HttpResponse:
    """Put one part, or all of them, onto the order list."""
    _, shop = _shop(request)
    wanted = request.POST.get("part", "")
    if wanted and not (wanted.isascii() and wanted.isdigit() and len(wanted) < 10):
        raise Http404("There is no such part.")
    part = int(wanted) if wanted else None
    chosen = YardFilter(request.GET, shop=shop).narrowing()
    lines = order_ahead(shop, part, by=signed_in(request), now=timezone.now(), chosen=chosen)
    if lines:
        said = lines[0].part.name if len(lines) == 1 else counted(len(lines), "part")
        messages.success(request, f"{said}: on the order list.")
    else:
        messages.success(request, "It is on the order list, or does not lack any more.")
    return redirect(f"{reverse('parts-to-order')}?{_asked(request, shop)}")


paths = [
    path("order-list/to-come/", parts, name="parts-to-order"),
    path("order-list/to-come.<slug:kind>", parts_file, name="parts-to-order-file"),
    path("order-list/to-come/put-on/", put_on_list, name="parts-put-on-list"),
]
