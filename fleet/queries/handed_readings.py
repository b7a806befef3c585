"""Readings taken with a hand-over that stand."""

from fleet.models import HandOver, Reading


def readings_at(row: HandOver) -> list[Reading]:
    """Return the standing readings of a hand-over that were typed at it, by kind of meter.

    One that was typed on its form as it was first pressed is its own, although the press was
    refused and the machine went later; so is what corrects it.  One that was on record before and
    only shown again is not.
    """
    shown = row.readings.select_related("meter__machine__yard").order_by("pk")
    own: dict[int, Reading] = {}
    for reading in shown:  # what corrects comes after what it corrects
        if reading.corrects_id in own or _typed_at(row, reading):
            own[reading.pk] = reading
    corrected = {reading.corrects_id for reading in own.values()}
    stand = [one for one in own.values() if not one.void and one.pk not in corrected]
    return sorted(stand, key=lambda one: one.meter.kind)


def _typed_at(row: HandOver, reading: Reading) -> bool:
    """Tell whether a reading came with a hand-over; all do of one that puts another right."""
    of_its_form = bool(row.form_key) and (reading.form_key or "").startswith(f"{row.form_key}-")
    return of_its_form or reading.read_at == row.at or row.corrects_id is not None
