"""What the sheet of a check-out already says of a machine that came back a moment ago.

Its meters show what they showed then, and points that were in order are.  Points for safety are
looked at each time, and so is whatever was not in order.
"""

from collections.abc import Sequence

from fleet.forms.hand_over_form import IN_ORDER
from fleet.models import HandOver
from fleet.quantities import plain_use
from fleet.queries.dials import Dial
from fleet.walk_round_library import PointToSee


def as_it_came_back(
    row: HandOver, dials: Sequence[Dial], points: Sequence[PointToSee]
) -> dict[str, str]:
    """Return by field of the sheet what was typed at a return; one query."""
    typed = set(row.readings.values_list("pk", flat=True))
    found = {
        f"reading_{dial.kind}": plain_use(dial.last.value, dial.kind, dial.yard.units)
        for dial in dials
        if dial.last and dial.last.pk in typed
    }
    for number, point in enumerate(points):
        if not point.safety and row.walk_round.get(point.words):
            found[f"point_{number}"] = IN_ORDER
    return found
