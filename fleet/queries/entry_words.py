"""What an entry of the service book says, in words, for the change log and for its page."""

from datetime import date

from django.conf import settings
from django.db.models import QuerySet

from fleet.models import FittingPart, Part, ServiceRecord, StockMovement
from fleet.quantities import show_use
from fleet.queries.stock_words import say_quantity
from fleet.saying import joined, say_minutes, say_moment, say_money


def entry_in_words(record: ServiceRecord) -> dict[str, str]:
    """Return what an entry says, by the names that its form has; "" where nothing is said."""
    yard = record.machine.yard
    units = yard.units
    used = record.parts_used.filter(reason=StockMovement.Reason.USED).select_related("part")
    values = {
        "service": str(record.service or "repair"),
        "done at": f"{record.done_at.astimezone(yard.zone):%Y-%m-%d %H:%M}",
        "done by": str(record.done_by or ""),
        "minutes": say_minutes(record.minutes) if record.minutes else "",
        "note": record.note,
        "cost": "" if record.cost is None else f"{record.cost:.2f}",
        "parts": joined(
            [f"{say_quantity(one.part, -one.quantity, units)} x {one.part}" for one in used]
        ),
    }
    for shown in record.meters.select_related("meter"):
        name = shown.meter.get_kind_display().lower()
        values[name] = show_use(shown.value, shown.meter.kind, units)
    for one in record.measurements.select_related("limit"):
        name = f"{one.limit.name}, {one.place}" if one.place else one.limit.name
        values[name] = f"{one.value:g} {one.limit.unit}".strip()
    return values


def entry_for_page(record: ServiceRecord, today: date) -> dict[str, str]:
    """Return the same as people say it: the log keeps dates by ISO 8601, a page does not."""
    cost = record.cost
    said: dict[str, str] = {}
    for name, value in entry_in_words(record).items():
        said[name] = value
        if name == "parts" and value:
            said["in place of"] = joined(list(map(str, _stood_in_for(record))))
    return said | {
        "done at": say_moment(record.done_at, record.machine.yard.zone, today),
        "cost": "" if cost is None else say_money(float(cost), settings.CURRENCY),
    }


def _stood_in_for(record: ServiceRecord) -> QuerySet[Part]:
    """Return the parts in whose place others were used, as the make-up names them."""
    used = record.parts_used.filter(reason=StockMovement.Reason.USED).order_by().values("part")
    fits = FittingPart.objects.filter(makeup=record.machine.makeup_id, instead__in=used)
    return Part.objects.filter(pk__in=fits.exclude(part__in=used).order_by().values("part"))
