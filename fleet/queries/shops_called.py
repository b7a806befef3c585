"""A shop by its name, as somebody types it at a command."""

from fleet.models import Shop
from fleet.refusal import Refusal
from fleet.saying import joined


def shop_called(name: str) -> Shop:
    """Return the shop of a name, in capitals or not; without a name the only shop.

    Raises:
        Refusal: there is none of that name, or a name is needed; the sentence names those there.

    """
    shops = list(Shop.objects.order_by("name"))
    if not shops:
        raise Refusal("There is no shop yet; set one up first.", "shop")
    if not name and len(shops) == 1:
        return shops[0]
    for shop in shops:
        if shop.name.casefold() == name.strip().casefold():
            return shop
    there = joined([shop.name for shop in shops])
    said = f"There is no shop “{name}”" if name else "There is more than one shop"
    raise Refusal(f"{said}; write --shop with one of these: {there}.", "shop")
