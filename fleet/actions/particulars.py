"""What is written down at a hand-over beside meters and walk-round."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from fleet.models import HandOver


@dataclass(frozen=True)
class Particulars:
    """Fuel or charge, what goes along, who took it, what was said about its use.

    level: share of full, 0 to 1; None: not looked at.  accessories: what goes with it -> whether
    it went, or came back.  Signatures are paths of SVG on 600 by 200 units.  hours_a_day: how long
    it is to run a day, as the customer says.
    """

    level: float | None = None
    accessories: Mapping[str, bool] = field(default_factory=dict)
    taken_by: str = ""
    signature: str = ""
    our_signature: str = ""
    use_said: str = ""
    hours_a_day: float | None = None

    def fields(self) -> dict[str, Any]:
        """Return them as fields of a hand-over."""
        return asdict(self)


def particulars_of(row: HandOver) -> Particulars:
    """Return what a hand-over says of them."""
    return Particulars(**{name: getattr(row, name) for name in Particulars.__dataclass_fields__})
