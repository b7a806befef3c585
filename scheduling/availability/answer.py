"""The answer to the counter's question: may this machine go out from this day to that day?

Pure: all that is known is handed in.  An answer says yes or no; if no, why, until when, and which
machine of the same class may go instead.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import Machine
from fleet.saying import short_date
from scheduling.availability.counter_facts import CounterFacts, Days
from scheduling.availability.life_left import Room, room
from scheduling.availability.objections import Cause, Objection, objections
from scheduling.availability.refusal_words import TOLD, say_objection, say_until, say_why
from scheduling.availability.send_with import cautions, doubts
from scheduling.models import State

STATE_OF = {
    Cause.HELD: State.HELD,
    Cause.LIMIT: State.OVERDUE,
    Cause.OVERDUE: State.OVERDUE,
    Cause.IDLE: State.DUE,
    Cause.DUE: State.DUE,
    Cause.UNKNOWN: State.UNKNOWN,
}
"""The state whose mark stands beside a refusal; a promise is no state and has a sign of its own."""


@dataclass(frozen=True)
class Availability:
    """Whether a machine may go out on these days, and why not.

    sure: a yes without a doubt.
    hard: a hold or a hard limit stands against it, and nobody may let it out.
    final: that, or it is promised or not there.
    """

    machine: Machine
    days: Days
    today: date
    objections: Sequence[Objection]
    cautions: Sequence[str]
    room: Room
    sure: bool = True
    instead: Machine | None = None

    @property
    def yes(self) -> bool:
        """Whether it may go out."""
        return not self.objections

    @property
    def hard(self) -> bool:
        """Whether nobody may let it out."""
        return any(one.hard for one in self.objections)

    @property
    def final(self) -> bool:
        """Whether the counter cannot go against it, with whatever reason."""
        return any(one.final for one in self.objections)

    @property
    def needs_reason(self) -> bool:
        """Whether a booking must say why: work that is planned before it goes out needs none."""
        first = self.days.first
        return not self.final and not all(one.settled_before(first) for one in self.objections)

    @property
    def until(self) -> date | None:
        """The day by which all of it is expected to be gone; None where that is not known."""
        days = [one.until for one in self.objections]
        return max((day for day in days if day), default=None) if all(days) else None

    @property
    def back_by(self) -> date | None:
        """The day by which it must be back for nothing to stand against it."""
        days = [one.back_by for one in self.objections]
        return min((day for day in days if day), default=None) if all(days) else None

    @property
    def state(self) -> str:
        """The state whose mark stands beside the answer; empty for a promise."""
        return "clear" if self.yes else STATE_OF.get(self.objections[0].cause, "")

    @property
    def why(self) -> str:
        """Why not, gravest first, as a part of a sentence."""
        return say_why(self.objections, self.today).words

    @property
    def why_head(self) -> str:
        """Why not, at the head of a sentence."""
        return say_why(self.objections, self.today).head

    @property
    def told(self) -> list[str]:
        """The gravest reasons, which a page tells at once; the others wait in `untold`."""
        return [self._said(one) for one in self.objections[:TOLD]]

    @property
    def untold(self) -> list[str]:
        """The reasons after the gravest."""
        return [self._said(one) for one in self.objections[TOLD:]]

    def _said(self, one: Objection) -> str:
        return say_objection(one, self.today).head

    @property
    def lasts(self) -> str:
        """Until when it may not go out."""
        return say_until(self.objections, self.today)

    @property
    def sentence(self) -> str:
        """The whole answer in words: yes, or why not, until when and which one instead."""
        said = self.days.said(self.today)
        if self.yes:
            return " ".join([f"{self.machine.tag} may go out {said}.", *self.cautions])
        parts = [f"{self.machine.tag} may not go out {said}: {self.why}. {self.lasts}."]
        if self.back_by:
            parts.append(f"It may go if it is back by {short_date(self.back_by, self.today)}.")
        if self.instead:
            parts.append(f"{self.instead.tag} of the same class may go instead.")
        return " ".join(parts)


def answer(standing: CounterFacts, days: Days, today: date) -> Availability:
    """Say whether one machine may go out on these days."""
    return Availability(
        standing.machine,
        days,
        today,
        objections(standing, days, today),
        cautions(standing, days, today),
        room(standing),
        sure=not doubts(standing, days, today),
    )


def best_first(answers: Iterable[Availability], *, near: int | None = None) -> list[Availability]:
    """Sort answers: the sure with most left, the doubtful, then the others, soonest free first.

    near: key of the yard whose machines come before those of other yards.
    """

    def place(one: Availability) -> tuple[bool, bool, bool, float, int, str]:
        away = near is not None and one.machine.yard_id != near
        if one.yes:
            return False, not one.sure, away, -one.room.left, -one.room.day, one.machine.tag
        until = (one.until or date.max).toordinal()
        return True, one.final, away, float(until), 0, one.machine.tag

    return sorted(answers, key=place)


def first_that_may(answers: Iterable[Availability], but: Machine) -> Machine | None:
    """Return the best machine that may go out, other than the one named."""
    for one in answers:
        if one.yes and one.machine.pk != but.pk:
            return one.machine
    return None
