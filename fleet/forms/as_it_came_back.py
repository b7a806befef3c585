"""What the sheet of a check-out already says of a machine that came back a moment ago.

Its meters show what they showed then, and points that were in order are.  Points for safety are
looked at each time, and so is whatever was not in order.
"""

from collections.abc import Sequence

from fleet.forms.hand_over_form import IN_ORDER
from fleet.quantities import plain_use
from fleet.queries.dials import Dial
from fleet.queries.just_back import ComeBack
from fleet.walk_round_library import PointToSee


def as_it_came_back(
    back: ComeBack, dials: Sequence[Dial], points: Sequence[PointToSee]
) -> dict[str, str]:
    """Return by field of the sheet what was typed at a return."""
    found = {
        f"reading_{dial.kind}": plain_use(dial.last.value, dial.kind, dial.yard.units)
        for dial in dials
        if dial.last and dial.last.pk in back.readings
    }
    for number, point in enumerate(points):
        if not point.safety and point.words in back.in_order:
            found[f"point_{number}"] = IN_ORDER
    return found
