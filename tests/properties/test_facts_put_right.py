"""Record, correct, strike, undo, hold, release in any order: what is left is all that counts.

Each story is drawn as a list of steps and told on a busy yard.  Beside it runs a plain list of what
is true in the end; told at once on a fresh yard, it must give the same due points, forecasts,
blocks, stock, costs and compliance.
"""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from fleet import models
from fleet.actions.correct_findings import FindingCorrection, correct_finding, strike_finding
from fleet.actions.correct_hand_overs import undo_hand_over
from fleet.actions.correct_records import correct_record, strike_record, work_of
from fleet.actions.count_stock import correct_count, count_shelf, strike_movement
from fleet.actions.hand_over import WALK_ROUND, WalkRound, check_in, check_out
from fleet.actions.hold_machines import NewHold, place_hold, release_hold
from fleet.actions.note_findings import NewFinding, note_finding
from fleet.actions.undo_acts import undo_act
from scheduling.actions.finish_job import DoneWork, FinishedJob, JobReading, finish_job
from tests.factories import NOON
from tests.scheduling.site_figures import figures_after

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

STEPS = [
    "job", "count", "finding", "hold", "out", "back",
    "correct job", "strike job", "correct count", "strike count", "correct finding",
    "strike finding", "release", "undo hand-over", "undo last",
]  # fmt: skip
APART = timedelta(minutes=20)
"""Between two steps, so that only an undo comes within ten minutes of what it undoes."""


@dataclass
class Fact:
    """One fact as it is true in the end; row: what stands for it on the yard that is told on."""

    kind: str
    at: datetime
    value: float
    row: object = None
    done: bool = True
    released: datetime | None = None
    act: models.Act | None = None


@dataclass
class Teller:
    """Writes facts on one yard."""

    yard: object
    facts: list[Fact] = field(default_factory=list)

    def write(self, fact: Fact) -> None:
        """Write a fact as it is true in the end."""
        before = models.Act.objects.order_by("-pk").first()
        fact.row = getattr(self, fact.kind)(fact)
        last = models.Act.objects.order_by("-pk").first()
        fact.act = last if last != before else None
        self.facts.append(fact)

    def job(self, fact: Fact) -> models.ServiceRecord | None:
        """The oil, with what the meter showed and oil from the shelf; or the reading alone."""
        oil = models.Service.objects.get(code="oil")
        litre = models.Part.objects.get(number="OIL")
        job = FinishedJob(
            machine=self.yard.machine, form_key=f"{fact.at:%d%H%M}", minutes=50,
            done=[DoneWork(oil)] if fact.done else [],
            readings=[JobReading("hours", 100.0 + fact.value)],
            parts=[(litre, 1000.0 + fact.value)] if fact.done else [],
        )  # fmt: skip
        records = finish_job(job, by=self.yard.mechanic, now=fact.at)
        return records[0] if records else None

    def count(self, fact: Fact) -> models.StockMovement:
        """Oil counted on the shelf."""
        oil = models.Part.objects.get(number="OIL")
        by = self.yard.mechanic
        return count_shelf(oil, by.shop, 50000.0 + fact.value, by=by, now=fact.at)

    def finding(self, fact: Fact) -> models.Finding:
        """A defect that makes the check due."""
        check = models.Service.objects.get(code="check")
        new = NewFinding(
            self.yard.machine, f"seen {fact.value:g}", "defect", minutes=30, calls_for=check
        )
        return note_finding(new, by=self.yard.mechanic, now=fact.at)

    def hold(self, fact: Fact) -> models.Hold:
        """Held, and released if it is by now."""
        reason = f"held {fact.at:%d %H:%M}"
        by = self.yard.mechanic
        hold = place_hold(NewHold(self.yard.machine, reason), by=by, now=fact.at)
        if fact.released:
            release_hold(hold, note="safe", by=by, now=fact.released)
        return hold

    def out(self, fact: Fact) -> models.HandOver:
        """Out on its booking."""
        return check_out(self.yard.booking, FINE, by=self.yard.desk, now=fact.at)

    def back(self, fact: Fact) -> models.HandOver:
        """Back from it, which ends the booking that day."""
        return check_in(self.yard.booking, FINE, by=self.yard.desk, now=fact.at)

    def latest(self, *kinds: str) -> Fact | None:
        """Return the latest fact of some kinds that can be put right."""
        rows = [one for one in self.facts if one.kind in kinds and one.row is not None]
        return rows[-1] if rows else None


FINE = WalkRound(dict.fromkeys(WALK_ROUND, True))


def step(teller: Teller, what: str, at: datetime, value: float) -> None:
    """Do one step, if it can be done, and keep the list of what is true."""
    if what in {"job", "count", "finding", "hold"}:
        teller.write(Fact(what, at, value))
    elif what in {"out", "back"}:
        made = {one.kind for one in teller.facts}
        if what not in made and ("out" in made) == (what == "back"):
            teller.write(Fact(what, at, value))
    else:
        put_right(teller, what, at, value)


def put_right(teller: Teller, what: str, at: datetime, value: float) -> None:
    by = teller.yard.mechanic
    match what:
        case "correct job" if (fact := teller.latest("job")) and fact.done:
            fact.value += 0.01
            said = work_of(fact.row)
            shown = models.Reading(meter=teller.yard.meter, value=100.0 + fact.value)
            oil = models.Part.objects.get(number="OIL")
            right = replace(said, readings=[shown], parts=[(oil, 1000.0 + fact.value)])
            fact.row, fact.act = correct_record(fact.row, right, by=by, now=at), None
        case "strike job" if (fact := teller.latest("job")) and fact.done:
            strike_record(fact.row, why="not done", by=by, now=at)
            fact.done, fact.row, fact.act = False, None, None
        case "correct count" if fact := teller.latest("count"):
            fact.value += 3.0
            fact.row = correct_count(fact.row, 50000.0 + fact.value, why="", by=by, now=at)
            fact.act = None
        case "strike count" if fact := teller.latest("count"):
            strike_movement(fact.row, why="not so", by=by, now=at)
            teller.facts.remove(fact)
        case "correct finding" if fact := teller.latest("finding"):
            fact.value = value
            right = FindingCorrection(f"seen {value:g}", "defect", 30)
            fact.row = correct_finding(fact.row, right, why="", by=by, now=at)
        case "strike finding" if fact := teller.latest("finding"):
            strike_finding(fact.row, why="not so", by=by, now=at)
            teller.facts.remove(fact)
        case "release" if (fact := teller.latest("hold")) and not fact.released:
            release_hold(fact.row, note="safe", by=by, now=at)
            fact.released = at
        case "undo hand-over" if fact := teller.latest("out", "back"):
            undo_hand_over(fact.row, why="not so", by=teller.yard.desk, now=at)
            teller.facts.remove(fact)
        case "undo last" if teller.facts and (fact := teller.facts[-1]).act is not None:
            soon = fact.at + timedelta(minutes=5)
            assert undo_act(fact.act, by=fact.act.by, now=soon)
            teller.facts.remove(fact)


@settings(
    max_examples=7, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
@given(st.lists(st.sampled_from(STEPS), min_size=8, max_size=16))
@example(["job", "count", "correct job"])
@example(["count", "job", "count", "strike job", "strike count"])
@example(["out", "job", "back", "undo hand-over", "undo hand-over"])
@example(["job", "undo last", "finding", "correct finding", "hold", "release"])
def test_what_stands_is_what_the_facts_that_are_left_give_on_a_fresh_site(steps):
    left: list[Fact] = []

    def told(yard):
        teller = Teller(yard)
        for number, what in enumerate(steps, 1):
            step(teller, what, NOON + number * APART, number * 0.1)
        left.extend(teller.facts)

    def at_once(yard):
        teller = Teller(yard)
        for fact in left:
            teller.write(replace(fact, row=None, act=None))

    found, expected = figures_after(told), figures_after(at_once)
    for stock in (found["stock"], expected["stock"]):
        stock.update({part: round(total, 4) for part, total in stock.items()})
        for part in [part for part, total in stock.items() if not total]:
            del stock[part]
    assert {name: found[name] for name in found if found[name] != expected[name]} == {}
