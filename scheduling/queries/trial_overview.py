"""What the page of a trial shows: its changes in words, and the differences with dates as dates."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from fleet.saying import joined
from scheduling.models import PlanSearch, Trial
from scheduling.plan.shop_plan import plan_number
from scheduling.trial.change_words import headed
from scheduling.trial.changes import read


@dataclass(frozen=True)
class DayAndMechanic:
    """A day and who works.  second: who helps, "" for nobody."""

    day: date
    mechanic: str
    second: str = ""


@dataclass(frozen=True)
class MovedWork:
    """Work of one machine that moves together; None: it waits.

    whys: each reason once, as its first sentence and what follows it.
    """

    tag: str
    title: str
    before: DayAndMechanic | None
    after: DayAndMechanic | None
    whys: list[tuple[str, str]]


@dataclass(frozen=True)
class Money:
    """One term of the cost, before and after."""

    words: str
    before: float
    after: float

    @property
    def by(self) -> float:
        """By how much it rises."""
        return self.after - self.before


@dataclass(frozen=True)
class TrialPage:
    """A trial as it is read."""

    trial: Trial
    changes: list[str]
    moves: list[MovedWork]
    money: list[Money]
    total: Money | None
    search: PlanSearch | None
    overtaken: bool


def trial_page(trial: Trial, today: date) -> TrialPage:
    """Return what is shown of a trial; at most two queries."""
    shown = trial.shown
    total = shown.get("total")
    ready = trial.state == Trial.State.READY
    asked = trial.state == Trial.State.ASKED
    return TrialPage(
        trial,
        said_changes(trial, today),
        _moved(shown.get("moves", [])),
        [Money(row["words"], row["before"], row["after"]) for row in shown.get("money", [])],
        Money("in all", *total) if total else None,
        trial.searches.filter(round=trial.round).select_related("shop").first() if asked else None,
        ready and plan_number(trial.shop) != trial.base_plan,
    )


def said_changes(trial: Trial, today: date) -> list[str]:
    """Return a trial's changes in words; one that can no longer be read says so.

    Before them what changed by itself, where the program made the trial.
    """
    said = [_said(row, today) for row in trial.changes]
    return [trial.cause, *said] if trial.cause else said


def _said(row: Any, today: date) -> str:
    try:
        return headed(read(row), today)
    except ValueError:
        return "A change that this version cannot read"


def _moved(rows: list[dict[str, Any]]) -> list[MovedWork]:
    """Return the moves in their order, those of one machine between the same places as one."""
    together: dict[
        tuple[str, DayAndMechanic | None, DayAndMechanic | None], list[dict[str, Any]]
    ] = {}
    for row in rows:
        key = row["tag"], _place(row["before"]), _place(row["after"])
        together.setdefault(key, []).append(row)
    return [
        MovedWork(
            tag,
            joined([row["title"] for row in group]),
            before,
            after,
            list({first: (first, more) for first, more in map(_why, group) if first}.values()),
        )
        for (tag, before, after), group in together.items()
    ]


def _why(row: dict[str, Any]) -> tuple[str, str]:
    """Return why work moves and what more there is to say; in older rows that is one text."""
    return row["why"], row.get("more", "")


def _place(row: dict[str, str] | None) -> DayAndMechanic | None:
    if row is None:
        return None
    day = date.fromisoformat(row["day"])
    return DayAndMechanic(day, row["mechanic"], row.get("second", ""))
