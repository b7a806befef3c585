"""What making a plan came to."""

from dataclasses import asdict, dataclass, field
from typing import Any


@dataclass
class PlanReport:
    """What was planned; kept: the facts were those of the plan that is there, nothing was solved.

    saved: money that a search which was gone on with has found, None where it was not gone on with.
    given_up: keys of bookings that will not go out on their machine; cannot_keep: sentences on
    hard limits, pins and frozen places; missing: sentences on what the shop lacks.
    """

    kept: bool = False
    saved: float | None = None
    jobs: int = 0
    work: int = 0
    deferred: int = 0
    given_up: list[int] = field(default_factory=list)
    cannot_keep: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    total: float = 0.0
    bound: float = 0.0
    gap: float = 0.0
    stopped: str = ""
    seconds: float = 0.0

    def as_dict(self) -> dict[str, Any]:
        """Return the report as plain JSON."""
        return asdict(self)
