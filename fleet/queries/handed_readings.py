"""Readings taken with a hand-over that stand."""

from datetime import datetime

from fleet.models import HandOver, Reading
from fleet.queries.standing_readings import standing


def readings_at(row: HandOver, at: datetime | None = None) -> list[Reading]:
    """Return the standing readings of a hand-over that were taken at its moment, or at another.

    One that was on record before and only shown again is not of the hand-over.
    """
    rows = standing().filter(handover=row, read_at=at or row.at)
    return list(rows.select_related("meter__machine__yard").order_by("meter__kind"))
