"""The services of every line, met one after another.

The fold runs over the rank of a service within its line: first the first service of all lines,
then the second of those that have one, and so on. So its cost is that of the longest book in
passes and of all services in work, whatever the number of lines.

What one service does to a grid (AnchorRule says which):

* restart: the grid starts anew at the service;
* keep: the next point of the same grid that lies after the service. A service that is late by a
  whole interval or more therefore does not leave points that have already gone by.

The published rules are silent on a service that is done again soon after. Keeping the grid blindly
would push the due point out by a whole interval each time, so a service before its due point that
lies nearer to the point before (the one last met, or the origin) is taken as belonging to that one
and moves nothing. One exactly half-way meets the point that is due; two distances are the same
where they differ by no more than the side's slack, so rounding decides nothing. The longest way
from a service to the next due point is then one and a half intervals.
"""

import numpy as np

from scheduling.core.intervals.anchors import AnchorRule
from scheduling.core.intervals.line_arrays import Bools, Ints, Points
from scheduling.core.intervals.sides import Side
from scheduling.core.intervals.track import Track


def fold(side: Side, at: Points, first: Ints, count: Ints) -> Track:
    """Return the tracks after all services, shape (n,).

    at: points of all services, those of a line together and rising, shape (m,); first: index of
    each line's first one, shape (n,); count: how many each has, shape (n,).
    """
    track = begin(side)
    # where every service restarts the grid the last one alone matters
    restarts = side.anchor == AnchorRule.FROM_SERVICE
    skipped = np.where(restarts, np.maximum(count - 1, 0), 0)
    first, count = first + skipped, count - skipped
    # with the longest books in front, the lines that still have a service are always a prefix
    longest_first = np.argsort(-count, kind="stable")
    for rank in range(int(count.max(initial=0))):
        # in the order of lines again, so that memory is read in one direction
        lines = np.sort(longest_first[: np.count_nonzero(count > rank)])
        met = meet(side.take(lines), track.take(lines), at[first[lines] + rank])
        track.put(lines, met)
    return track


def begin(side: Side) -> Track:
    """Return the tracks of machines at their start, before any service, shape (n,)."""
    nothing = np.zeros(len(side.start), dtype=np.bool_)
    steps = nothing.astype(np.int64)
    due = side.point(side.start, side.has_first, steps)
    start, on_first = side.start.copy(), side.has_first.copy()
    return Track(start, on_first, steps, due, start.copy(), nothing)


def meet(side: Side, track: Track, at: Points) -> Track:
    """Return the tracks after one service of each line at the points ``at``, shape (n,)."""
    keeps = _keeps_grid(side, track, at)
    moves = keeps & ~_belongs_before(side, track, at)
    steps = np.where(moves, side.steps_past(track, at), np.where(keeps, track.steps, 0))
    origin = np.where(keeps, track.origin, at)
    # an interval that starts anew at a service is no longer the machine's first one
    on_first = track.on_first & keeps
    skips = moves & (steps > track.steps + 1)
    before = np.where(moves, track.due, np.where(keeps, track.before, at))
    # the point before is needed on a grid that skipped some, for what comes soon after; it is
    # rare, and the calendar's months are dear to work out
    if skips.any():
        before = np.where(skips, side.point(origin, on_first, steps - 1), before)
    due = side.point(origin, on_first, steps)
    return Track(origin, on_first, steps, due, before, np.ones_like(keeps))


def window(side: Side, track: Track) -> tuple[Points, Points]:
    """Return where the window of the point in force opens and closes, shape (n,) each."""
    early, late = side.window(track.on_first & (track.steps == 0))
    return track.due - early, track.due + late


def _keeps_grid(side: Side, track: Track, at: Points) -> Bools:
    """Tell where the anchor keeps the grid, shape (n,)."""
    # NaN and NaT fail every comparison, so an unknown point restarts the grid at the service
    opens, closes = window(side, track)
    not_early = at >= opens - side.slack
    in_window = not_early & (at <= closes + side.slack)
    # a service older than the machine's start is where a fixed grid begins
    on_grid = track.served | (at >= track.origin - side.slack)
    return (
        ((side.anchor == AnchorRule.FROM_DUE_POINT) & on_grid)
        | ((side.anchor == AnchorRule.KEEP_UNLESS_EARLY) & not_early)
        | ((side.anchor == AnchorRule.KEEP_WITHIN_WINDOW) & in_window)
    )


def _belongs_before(side: Side, track: Track, at: Points) -> Bools:
    """Tell where a service lies nearer to the point before than to the one due, shape (n,)."""
    # the slack is on the side of the point due: half-way belongs to it, however sums are rounded
    nearer = at - track.before < track.due - at - side.slack
    return (at < track.due - side.slack) & nearer
