"""Where what an act brought is to be seen."""

from fleet.models import Act, HandOver


def booking_of(act: Act) -> int | None:
    """Return the key of the booking that an act made or handed over, if it did."""
    if made := act.rows.get("booking"):
        return int(made[0])
    handed = act.rows.get("hand over")
    if not handed:
        return None
    return HandOver.every.filter(pk=handed[0]).values_list("booking", flat=True).first()
