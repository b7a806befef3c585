"""The shop that an address names, as far as the person may look at it."""

from django.http import Http404, HttpRequest

from fleet.access import signed_in
from fleet.models import Shop
from fleet.queries.mine import shop_asked


def asked_shop(request: HttpRequest) -> Shop:
    """Return the shop named by `shop` if the person may look at it, else their first.

    Raises Http404 where there is none yet.
    """
    shop = shop_asked(signed_in(request), request.GET.get("shop", ""))
    if shop is None:
        raise Http404("There is no shop yet.")
    return shop
