"""A block as it is written: its fields beside machine and kind, and what causes it."""

from datetime import date
from typing import Any, NamedTuple

Cause = tuple[int, str, int]
"""Machine, kind, and the key of the due point, hold or booking (or the day) that causes it."""


class BlockRow(NamedTuple):
    """The values of a block beside machine and kind, named like its fields."""

    first_day: date
    last_day: date | None = None
    hard: bool = False
    due_point_id: int | None = None
    hold_id: int | None = None
    booking_id: int | None = None
    shop_id: int | None = None
    reach: str = ""
    meter_kind: str = ""
    past_by: float | None = None
    due_day: date | None = None
    works: list[dict[str, Any]] = []  # compared and written, never changed
    minutes: int = 0
    begun: bool = False


BLOCK_FIELDS = BlockRow._fields
"""Fields of a block beside machine and kind."""
