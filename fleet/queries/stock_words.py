"""How much of a part there is, as people of a shop say it."""

from fleet.models import Part, Shop
from fleet.quantities import show_volume


def say_quantity(part: Part, quantity: float, units: str) -> str:
    """Say how much of a part or a fluid in given units: "2", "3.5 qt"."""
    if part.kind == Part.Kind.FLUID:
        sign = "−" if quantity < 0 else ""
        return sign + show_volume(abs(quantity), units)
    return f"{quantity:g}".replace("-", "−")


def say_amount(part: Part, quantity: float, shop: Shop) -> str:
    """Say how much of a part or a fluid in a shop's units."""
    return say_quantity(part, quantity, shop.units)
