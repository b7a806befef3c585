"""Validation of readings: what a meter can have shown, judged by clock, speed and history.

Pure: values in, values out, no database and no clock.  These are plain physical limits, each
open to a person's "really so"; what long histories say of a reading is learnt elsewhere.
"""

from fleet.validation.judging import Face, Fault, ShownReading, judge
from fleet.validation.meter_history import MeterHistory, Seen
from fleet.validation.reasons import ReadingAnswer, ReadingReason
from fleet.validation.verdict_words import ReadingContext, ReadingVerdict, say_verdict

__all__ = [
    "Face",
    "Fault",
    "MeterHistory",
    "ReadingAnswer",
    "ReadingContext",
    "ReadingReason",
    "ReadingVerdict",
    "Seen",
    "ShownReading",
    "judge",
    "say_verdict",
]
