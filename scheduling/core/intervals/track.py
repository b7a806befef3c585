"""Where each line stands while its services are met one after another."""

from dataclasses import dataclass, fields

from scheduling.core.intervals.line_arrays import Bools, Ints, Points


# the one dataclass here that is not frozen: the fold writes each round's lines back in place
@dataclass
class Track:
    """Where each line stands on one side; arrays (n,).

    origin: where its grid starts; on_first: whether its lead is the first interval; steps: the
    step in force; due: the point of that step, NaN or NaT where there is none; before: the point
    before it, or the origin; served: whether a service has been met.
    """

    origin: Points
    on_first: Bools
    steps: Ints
    due: Points
    before: Points
    served: Bools

    def take(self, lines: Ints) -> "Track":
        """Return the track of these lines alone; lines: indices of shape (k,)."""
        return Track(*(getattr(self, f.name)[lines] for f in fields(self)))

    def put(self, lines: Ints, part: "Track") -> None:
        """Write the track of these lines back; lines: indices of shape (k,)."""
        for f in fields(self):
            getattr(self, f.name)[lines] = getattr(part, f.name)
