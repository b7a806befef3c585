"""Why a reading is not simply taken, and what a person may answer."""

from enum import StrEnum


class ReadingReason(StrEnum):
    """The verdict on a reading."""

    FINE = "fine"
    DUPLICATE = "duplicate"
    SAME_TIME = "same_time"
    BACKWARDS = "backwards"
    TOO_MUCH = "too_much"
    OUTRAN = "outran"
    SLIPPED_POINT = "slipped_point"
    WRONG_UNIT = "wrong_unit"
    FUTURE = "future"
    BEFORE_FITTED = "before_fitted"
    NO_METER = "no_meter"
    WHICH_METER = "which_meter"
    UNKNOWN_MACHINE = "unknown_machine"
    NOT_A_NUMBER = "not_a_number"
    NOT_A_DATE = "not_a_date"


AWAITS_SET_UP = frozenset(
    {ReadingReason.UNKNOWN_MACHINE, ReadingReason.NO_METER, ReadingReason.BEFORE_FITTED}
)
"""Reasons that go away when a machine or its meter is set up: the same row may come again."""

ODD = frozenset(
    {
        ReadingReason.BACKWARDS,
        ReadingReason.TOO_MUCH,
        ReadingReason.OUTRAN,
        ReadingReason.SLIPPED_POINT,
        ReadingReason.WRONG_UNIT,
    }
)
"""Reasons that a person who saw the meter can overrule."""


class ReadingAnswer(StrEnum):
    """What the person who typed an odd reading may say to it."""

    MISTYPED = "mistyped"
    MEANT = "meant"
    SWAPPED = "swapped"
    ROLLED_OVER = "rolled_over"
    REALLY_SO = "really_so"
    REPLACES = "replaces"
