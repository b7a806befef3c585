"""Every visit that a machine could make, with all that happens inside it priced beforehand.

A visit is a set of a machine's tasks (a row), a first day and a crew.  `machine_visits` prices
them all as one array, `Visits`; what couples machines (hours, trips, bays, stock) is left to the
plan.  A `Slot` names one visit in a plan; `Uses` is what visits by crews or over several days
(`Stay`) take.
"""

from .slots import Slot
from .span import Stay, last_days, lasts_days, room_of, stay_of
from .subsets import ALL_SUBSETS
from .uses import Uses
from .visits import Visits, machine_visits, visits_of

__all__ = [
    "ALL_SUBSETS",
    "Slot",
    "Stay",
    "Uses",
    "Visits",
    "last_days",
    "lasts_days",
    "machine_visits",
    "room_of",
    "stay_of",
    "visits_of",
]
