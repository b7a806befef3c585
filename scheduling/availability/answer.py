"""The answer to the counter's question: may this machine go out from this day to that day?

Pure: all that is known is handed in.  There are three answers.  It may.  It may after work: all
that stands against it is work that is done before it goes (which, and on which day).  It may not:
why, until when, who can lift it, and which machine of the same class may go instead.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fleet.models import Machine
from fleet.saying import short_date
from scheduling.availability.counter_facts import CounterFacts, Days
from scheduling.availability.due_before_back import ServiceChance, service_chances
from scheduling.availability.life_left import Room, room
from scheduling.availability.objections import DAY, Cause, Objection, objections
from scheduling.availability.refusal_words import (
    LIFTED_BY,
    TOLD,
    say_objection,
    say_until,
    say_why,
    say_work,
)
from scheduling.availability.send_with import cautions, doubts
from scheduling.availability.three_answers import Answer, Reason
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

RANK = {Answer.MAY: 0, Answer.AFTER_WORK: 1, Answer.MAY_NOT: 2}
"""The best answer first."""


@dataclass(frozen=True)
class Availability:
    """Whether a machine may go out on these days, and why not.

    sure: a yes without a doubt.
    hard: a hold or a hard limit stands against it, and nobody may let it out.
    final: that, or it is promised or not there.
    chances: for each service, that it falls due before the machine is back.
    """

    machine: Machine
    days: Days
    today: date
    objections: Sequence[Objection]
    cautions: Sequence[str]
    room: Room
    sure: bool = True
    instead: Machine | None = None
    chances: Sequence[ServiceChance] = ()

    @property
    def kind(self) -> Answer:
        """Which of the three answers it is."""
        if not self.objections:
            return Answer.MAY
        depends = all(one.done_before for one in self.objections)
        return Answer.AFTER_WORK if depends else Answer.MAY_NOT

    @property
    def yes(self) -> bool:
        """Whether it may go out as it stands."""
        return self.kind == Answer.MAY

    @property
    def after_work(self) -> bool:
        """Whether it may go out once the shop has done its work."""
        return self.kind == Answer.AFTER_WORK

    @property
    def against(self) -> Sequence[Objection]:
        """What stands against it and does not end before it goes."""
        return [one for one in self.objections if not one.done_before]

    @property
    def works(self) -> Sequence[Objection]:
        """What the shop does before it goes."""
        return [one for one in self.objections if one.done_before]

    @property
    def hard(self) -> bool:
        """Whether nobody may let it out."""
        return any(one.hard for one in self.against)

    @property
    def final(self) -> bool:
        """Whether the counter cannot go against it, with whatever reason."""
        return any(one.final for one in self.objections)

    @property
    def needs_reason(self) -> bool:
        """Whether a booking must say why: work that is done before it goes out needs none."""
        return not self.final and bool(self.against)

    @property
    def until(self) -> date | None:
        """The day by which all of it is expected to be gone; None where that is not known."""
        days = [one.until for one in self.against or self.objections]
        return max((day for day in days if day), default=None) if all(days) else None

    @property
    def from_day(self) -> date | None:
        """The first day, of those asked or later, on which it is expected to be free to go."""
        if self.kind != Answer.MAY_NOT:
            return self.days.first
        return max(self.days.first, self.until + DAY) if self.until else None

    @property
    def ready_from(self) -> date | None:
        """The day after the last shop day of its work; None where a day is still to be found."""
        days = [one.until for one in self.works if one.settled_before(self.days.first)]
        return max(day for day in days if day) + DAY if len(days) == len(self.works) > 0 else None

    @property
    def back_by(self) -> date | None:
        """The day by which it must be back: for nothing to stand against it, or before its service.

        Of one that goes after work it is not known: the work begins its services anew.
        """
        if self.kind == Answer.MAY:
            return self.room.next_day - DAY if self.room.next_day else None
        if self.kind == Answer.AFTER_WORK:
            return None
        days = [one.back_by for one in self.against]
        return min((day for day in days if day), default=None) if all(days) else None

    @property
    def reasons(self) -> list[Reason]:
        """What bears on the answer, gravest first: reasons, work, then what to know."""
        against = [Reason(one.cause, f"{self._said(one)}.", one.until) for one in self.against]
        works = [Reason(one.cause, f"{self._work(one)}.", one.until) for one in self.works]
        return [*against, *works, *(Reason("to_know", words) for words in self.cautions)]

    @property
    def state(self) -> str:
        """The state whose mark stands beside the answer; empty for a promise."""
        return "clear" if self.yes else STATE_OF.get((self.against or self.objections)[0].cause, "")

    @property
    def lifted_by(self) -> str:
        """Who or what brings an end to the gravest reason that nobody here decides; or nothing."""
        return LIFTED_BY.get(self.against[0].cause, "") if self.against else ""

    @property
    def works_told(self) -> list[str]:
        """The work that it depends on, each with its day."""
        return [self._work(one) for one in self.works]

    def _work(self, one: Objection) -> str:
        return say_work(one, self.days.first, self.today).head

    @property
    def why(self) -> str:
        """Why not, gravest first, as a part of a sentence."""
        return say_why(self.against or self.objections, self.today).words

    @property
    def why_head(self) -> str:
        """Why not, at the head of a sentence."""
        return say_why(self.against or self.objections, self.today).head

    @property
    def told(self) -> list[str]:
        """The gravest reasons, which a page tells at once; the others wait in `untold`."""
        return [self._said(one) for one in self.against[:TOLD]]

    @property
    def untold(self) -> list[str]:
        """The reasons after the gravest."""
        return [self._said(one) for one in self.against[TOLD:]]

    def _said(self, one: Objection) -> str:
        return say_objection(one, self.today).head

    @property
    def lasts(self) -> str:
        """Until when it may not go out."""
        return say_until(self.against, self.today)

    @property
    def sentence(self) -> str:
        """The whole answer in words: yes, or why not, until when and which one instead."""
        said = self.days.said(self.today)
        if self.yes:
            return " ".join([f"{self.machine.tag} may go out {said}.", *self.cautions])
        if self.after_work:
            works = [f"{words}." for words in self.works_told]
            return " ".join([f"{self.machine.tag} may go out {said} after its work.", *works])
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


def bare_answer(standing: CounterFacts, days: Days, today: date) -> Availability:
    """Answer with what stands against it alone: for who asks thousands of times."""
    return Availability(
        standing.machine, days, today, objections(standing, days, today), (), Room()
    )


def with_chances(said: Availability, standing: CounterFacts) -> Availability:
    """Return an answer with the chance of each service, for who reads them."""
    return replace(said, chances=service_chances(standing, said.days, said.today))


def best_first(answers: Iterable[Availability], *, near: int | None = None) -> list[Availability]:
    """Sort answers: the sure with most left, the doubtful, those after work, then the others.

    Of those that go after work, first what has its shop day; of the others the soonest free.

    near: key of the yard whose machines come before those of other yards.
    """

    def place(one: Availability) -> tuple[int, bool, bool, float, int, str]:
        away = near is not None and one.machine.yard_id != near
        rank = RANK[one.kind]
        if one.yes:
            return rank, not one.sure, away, -one.room.left, -one.room.day, one.machine.tag
        if one.after_work:
            ready = one.ready_from or date.max
            return rank, one.ready_from is None, away, ready.toordinal(), 0, one.machine.tag
        until = (one.until or date.max).toordinal()
        return rank, one.final, away, float(until), 0, one.machine.tag

    return sorted(answers, key=place)


def first_that_may(answers: Iterable[Availability], but: Machine) -> Machine | None:
    """Return the best machine that may go out, now or after its work, other than the one named."""
    for one in answers:
        if one.kind != Answer.MAY_NOT and one.machine.pk != but.pk:
            return one.machine
    return None
