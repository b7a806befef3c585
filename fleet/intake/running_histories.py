"""What a batch of a large file knew of its meters, kept for the batches after it.

To judge a reading, the twenty before it are needed.  A file in order of time has a few new readings
of each meter in a batch, so almost all that a batch would read the one before it had read already.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from fleet.models import Meter, Reading
from fleet.queries.standing_readings import corrected_within, histories
from fleet.validation import MeterHistory, Seen
from fleet.validation.meter_history import STEPS_BACK

A_DAY = timedelta(days=1, hours=1)
"""The longest day, that on which a clock goes back."""
FAR_BEHIND = 50_000
"""Readings written since, from which on a history is read anew rather than looked for news."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """A meter's history from a place on, all that comes after it included.

    upto: number of the last reading that was written when it was known to be whole; whole: it
    reaches back to the fitting.
    """

    seen: list[Seen]
    meter: Meter
    upto: int
    whole: bool

    def serves(self, meter: Meter, first: datetime) -> bool:
        """Tell whether it has all that is needed to judge this meter from a time on."""
        if _ends(meter) != _ends(self.meter):
            return False
        return self.whole or _place(self.seen, first) >= STEPS_BACK


@dataclass
class RunningHistories:
    """The histories that a file's rows are judged by, from batch to batch.

    pretended: readings by meter that a dry run would have taken in the batches so far.

    A meter's machine was locked while its history was read and added to, so what somebody else
    writes of it later has a higher number than all that was there.  An import that is undone
    meanwhile is not noticed: its readings are judged by until their meter is read anew.
    """

    pretended: dict[int, list[Seen]] = field(default_factory=lambda: defaultdict(list))
    _kept: dict[int, _Kept] = field(default_factory=dict)
    _latest: "_Batch | None" = None

    def read(
        self, meters: Collection[Meter], first: datetime, last: datetime
    ) -> dict[int, MeterHistory]:
        """Return what has to be known to judge readings of these meters within two times.

        At most seven queries whatever the number of meters; the histories are added to as readings
        are taken.
        """
        # a day is the longest that a reading's time may be open: both its ends lie within
        first, last = first - A_DAY, last + A_DAY
        known = self._still_holding(meters, first, last)
        left = [meter for meter in meters if meter.pk not in known]
        for meter_id, history in (histories(left, first, last) if left else {}).items():
            for seen in self.pretended.get(meter_id, ()):
                history.add(seen)
            self._kept.pop(meter_id, None)
            known[meter_id] = history
        self._latest = _Batch(known, meters, first, last)
        return known

    def keep(self, upto: int) -> None:
        """Keep what the latest batch knew when it ended; upto: the last reading's number."""
        batch, self._latest = self._latest, None
        if batch is None:
            return
        for meter in batch.meters:
            seen = batch.known[meter.pk].seen
            beyond = seen[bisect_right(seen, batch.last, key=_at) :]
            if any(not one.event for one in beyond):  # of those after it, one alone is known
                self._kept.pop(meter.pk, None)
                continue
            before = self._kept.get(meter.pk)
            whole = before.whole if before else _place(seen, batch.first) < STEPS_BACK
            start = max(0, _place(seen, batch.last - 2 * A_DAY) - STEPS_BACK)
            self._kept[meter.pk] = _Kept(seen[start:], meter, upto, whole and not start)

    def _still_holding(
        self, meters: Collection[Meter], first: datetime, last: datetime
    ) -> dict[int, MeterHistory]:
        serve = {
            meter.pk: kept
            for meter in meters
            if (kept := self._kept.get(meter.pk)) and kept.serves(meter, first)
        }
        if not serve:
            return {}
        newest = max(kept.upto for kept in serve.values())
        serve = {pk: kept for pk, kept in serve.items() if newest - kept.upto < FAR_BEHIND}
        oldest = min(kept.upto for kept in serve.values())
        written = Reading.objects.filter(pk__gt=oldest).order_by().values_list("meter_id", "pk")
        for meter_id, pk in written:
            if meter_id in serve and pk > serve[meter_id].upto:
                del serve[meter_id]
        corrected = corrected_within(list(serve), first, last)
        return {pk: MeterHistory(kept.seen, corrected.get(pk, set())) for pk, kept in serve.items()}


@dataclass(frozen=True, slots=True)
class _Batch:
    """What one batch is judged by, and the times within which all is known."""

    known: dict[int, MeterHistory]
    meters: Collection[Meter]
    first: datetime
    last: datetime


def _at(seen: Seen) -> datetime:
    return seen.at


def _place(seen: list[Seen], at: datetime) -> int:
    """Return how many of them come before a time."""
    return bisect_left(seen, at, key=_at)


def _ends(meter: Meter) -> tuple[object, ...]:
    return meter.fitted_at, meter.first_value, meter.removed_at, meter.last_value
