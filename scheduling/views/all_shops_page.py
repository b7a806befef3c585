"""All shops on one page: what is to decide in each, for whoever may look at several."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.queries.mine import shops_in_sight
from scheduling.queries.shops_at_a_glance import shops_page


@roles()
@require_safe
def all_shops(request: HttpRequest) -> HttpResponse:
    """Show how the shops stand; one shop alone has its Yard."""
    shops = list(shops_in_sight(signed_in(request)))
    if len(shops) < 2:
        return redirect("yard")
    page = shops_page(shops, timezone.now())
    return render(
        request, "scheduling/all_shops.html", {"page": page, "own": signed_in(request).only_shop_id}
    )


paths = [path("yard/shops/", all_shops, name="all-shops")]
