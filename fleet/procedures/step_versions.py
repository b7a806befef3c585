"""What the steps of a procedure said before, as far as the change log tells it.

Pure: the steps as they stand and the changes of their service in, versions out.  The log keeps what
changed of a step, old and new, and how its text began; so each is gone back from what stands now.
A change that fits no step, or more than one, is told as the log has it: nothing is guessed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from fleet.models import LoggedChange

CHANGED, ADDED, GONE = "step changed: ", "step added: ", "step taken out: "
"""How the log says what was done to a step; the beginning of its text follows."""
TOLD_OF = 40
"""So much of a text follows."""
ROWS = ("service step ", "Step “", "limit", "Measured: ")
"""How the log names rows of a service that were changed with the service as a whole."""
PLACE = "position"
"""A step moves, too, where another one is put before it, which the log does not tell."""


@dataclass(frozen=True)
class StepVersion:
    """A step as it stood from one change to another.

    values: in words, by the names of its fields.  made, ended: None where the log does not tell.
    number: 1 for the first that is told.
    """

    values: Mapping[str, str]
    number: int
    made: LoggedChange | None
    ended: LoggedChange | None


@dataclass(frozen=True)
class LooseChange:
    """What the log tells of a row that could not be told apart: its name, old and new."""

    change: LoggedChange
    name: str
    old: str
    new: str


@dataclass
class _Line:
    """One step gone back: its values, newest first, and the changes between them."""

    values: list[dict[str, str]]
    ends: list[LoggedChange | None]
    begun: LoggedChange | None = None
    open: bool = True

    def stood(self, told: Iterable[Mapping[str, str]], name: str) -> bool:
        """Whether it stood so after a change."""
        now = self.values[-1]
        fits = all(now.get(one["field"], "") == one["new"] for one in told
                   if one["field"] != PLACE)  # fmt: skip
        return self.open and fits and now.get("text", "")[:TOLD_OF] == name

    def versions(self) -> list[StepVersion]:
        """Return what stood, newest first."""
        made = [*self.ends[1:], self.begun]
        most = len(self.values)
        return [
            StepVersion(values, most - at, made[at], self.ends[at])
            for at, values in enumerate(self.values)
        ]


@dataclass
class StepVersions:
    """standing: number of the row -> its versions.  gone: those of steps that were taken out."""

    standing: dict[int, list[StepVersion]] = field(default_factory=dict)
    gone: list[list[StepVersion]] = field(default_factory=list)
    loose: list[LooseChange] = field(default_factory=list)


def step_versions(
    steps: Mapping[int, Mapping[str, str]], changes: Iterable[LoggedChange]
) -> StepVersions:
    """Return what each step said, newest first.

    steps: number of the row -> what it says, in words.  changes: of the service, newest first.
    """
    standing = {pk: _Line([dict(values)], [None]) for pk, values in steps.items()}
    lines, found = list(standing.values()), StepVersions()
    for change in changes:
        if change.act.startswith(GONE):
            old = {one["field"]: one["old"] for one in change.values}
            lines.append(_Line([old], [change]))
        elif change.act.startswith((CHANGED, ADDED)):
            _go_back(change, lines, found)
        else:
            _as_a_whole(change, lines, found)
    found.standing = {pk: line.versions() for pk, line in standing.items()}
    found.gone = [line.versions() for line in lines[len(standing) :]]
    return found


def _go_back(change: LoggedChange, lines: list[_Line], found: StepVersions) -> None:
    """Undo a change at the one step that it can have been made to."""
    name = change.act.removeprefix(CHANGED).removeprefix(ADDED)
    fitting = [line for line in lines if line.stood(change.values, name)]
    added = change.act.startswith(ADDED)
    if len(fitting) != 1:
        found.loose += _told(change) if not added else []
        for line in fitting:
            line.open = False
        return
    (line,) = fitting
    if added:
        line.begun, line.open = change, False
        return
    old = {one["field"]: one["old"] for one in change.values}
    line.values.append({**line.values[-1], PLACE: "", **old})
    line.ends.append(change)


def _as_a_whole(change: LoggedChange, lines: list[_Line], found: StepVersions) -> None:
    """Tell what a change of the whole service did to its rows; what it made begins with it."""
    rows = [one for one in _told(change) if one.name.startswith(ROWS)]
    found.loose += [one for one in rows if one.old]
    for line in lines:
        text = line.values[-1].get("text", "")
        if line.open and text and any(text in one.new for one in rows):
            line.begun, line.open = change, False


def _told(change: LoggedChange) -> list[LooseChange]:
    return [LooseChange(change, one["field"], one["old"], one["new"]) for one in change.values]
