"""The door for readings: what a meter can have shown, judged by clock, speed and history.

Pure: values in, values out, no database and no clock.  These are plain physical limits, each
open to a person's "really so"; what long histories say of a reading is learnt elsewhere.
"""

from fleet.door.history import History, Seen
from fleet.door.judging import Face, Fault, Shown, judge
from fleet.door.reasons import Answer, Reason
from fleet.door.words import Place, Verdict, say_verdict

__all__ = [
    "Answer",
    "Face",
    "Fault",
    "History",
    "Place",
    "Reason",
    "Seen",
    "Shown",
    "Verdict",
    "judge",
    "say_verdict",
]
