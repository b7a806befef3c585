"""What was known of use as a past day began: the facts loaded once, cut off at that moment.

Law and rates are learnt anew every `LESSON_DAYS`, how use varies every `LAW_DAYS`; in between each
night takes in its own readings and bookings.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from scheduling.core.replay import Foresight, PastBooking
from scheduling.core.usage import Readings, Swaps
from scheduling.due.learning import Lesson, learn
from scheduling.due.meter_use import kind_use
from scheduling.facts.booked_days import LOOK_BACK, BookedDays
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.meter_arrays import MeterFacts
from scheduling.facts.yard_days import from_number

LESSON_DAYS = 14
"""Days for which what a fleet taught serves."""

LAW_DAYS = 112
"""Days for which a law of use once learnt serves."""


@dataclass
class PastUse:
    """Hands out what each night knew; the same for a night whichever was asked for before.

    facts: those of today; first: day number of the first night; said: hours a day by booking.
    """

    facts: UseFacts
    first: int
    bookings: tuple[PastBooking, ...]
    said: Mapping[int, float]
    lessons: dict[int, dict[str, Lesson]] = field(default_factory=dict)

    def known(self, night: int) -> UseFacts:
        """Return the facts of use as a night knew them."""
        return known_by(self.facts, self.first, night, self.bookings, self.said)

    def foresight(self, night: int) -> dict[str, Foresight]:
        """Return what a night knew, by kind of meter."""
        known, lessons = self.known(night), self._lessons(night - night % LESSON_DAYS)
        found = {}
        for kind, meters in known.meters.items():
            use = kind_use(known, meters, lessons[kind])
            last = np.where(meters.unread, np.nan_to_num(use.last_life), use.last_life)
            found[kind] = Foresight(
                use.lesson.model, use.outlook, use.local, last, use.summary.rate
            )
        return found

    def _lessons(self, night: int) -> dict[str, Lesson]:
        """Return what a night's fleet taught, with the law of the night that learnt it last."""
        if night not in self.lessons:
            of_law = night - night % LAW_DAYS
            before = self._lessons(of_law) if of_law != night else {}
            known = self.known(night)
            self.lessons = {number: kept for number, kept in self.lessons.items()
                            if number == of_law}  # fmt: skip
            self.lessons[night] = {
                kind: learn(known, meters, before[kind].model.rates.law if before else None)
                for kind, meters in known.meters.items()
            }
        return self.lessons[night]


def known_by(
    facts: UseFacts, first: int, night: int, bookings: tuple[PastBooking, ...],
    said: Mapping[int, float],
) -> UseFacts:  # fmt: skip
    """Return the facts of use as a night knew them: what was read, made and told before it."""
    number = first + night
    machines = replace(facts.machines, today=np.full(len(facts.machines), number))
    shift = facts.machines.today - number
    return UseFacts(
        machines,
        {kind: _meters(meters, shift) for kind, meters in facts.meters.items()},
        _promises(bookings, first, night, said),
        [span for span in facts.storage if span[1] <= number],
        facts.seasons,
    )


def _meters(meters: MeterFacts, shift: np.ndarray) -> MeterFacts:
    """Return meters with the readings from before a night, days counted from it."""
    ahead = shift[meters.machine]
    seen = meters.readings
    day = seen.day + ahead[seen.machine]
    rows = np.flatnonzero(day < 0)
    own = seen.machine[rows]
    swaps = meters.swaps
    when = swaps.day + ahead[swaps.machine]
    made = np.flatnonzero(when < 0)
    read = (meters.key[rows] > 0) | (meters.record[rows] > 0)
    unread = np.bincount(own[read], minlength=meters.machine.size) == 0
    fitted = meters.fitted + ahead
    # a machine that was never read by then shows what its first meter began with
    bare = np.bincount(own, minlength=meters.machine.size) == 0
    blank = np.flatnonzero(bare & (fitted < 0))
    none = np.zeros(blank.size, dtype=np.int64)
    return replace(
        meters,
        readings=Readings(
            np.concatenate([own, blank]),
            np.concatenate([day[rows], fitted[blank]]),
            np.concatenate([seen.value[rows], meters.base[blank]]),
        ),
        life=np.concatenate([meters.life[rows], meters.base[blank]]),
        sure=np.concatenate([meters.sure[rows], none > 0]),
        key=np.concatenate([meters.key[rows], none]),
        record=np.concatenate([meters.record[rows], none]),
        swaps=Swaps(swaps.machine[made], when[made], swaps.old_last[made], swaps.new_first[made]),
        fitted=fitted,
        unread=unread,
    )


def _promises(
    bookings: tuple[PastBooking, ...], first: int, night: int, said: Mapping[int, float]
) -> list[BookedDays]:
    """Return the bookings of the days before a night and to come, as it knew them."""
    found = []
    for booking in bookings:
        last = booking.last_known(night)
        if booking.made < night <= booking.cancelled and last >= night - LOOK_BACK:
            back = booking.back < night
            days = (from_number(first + booking.first), from_number(first + last))
            hours = None if back else said.get(booking.key)
            found.append(BookedDays(
                booking.key, booking.machine, *days, "", booking.out < night, back, hours
            ))  # fmt: skip
    return sorted(found, key=lambda promise: (promise.machine, promise.first, promise.key))
