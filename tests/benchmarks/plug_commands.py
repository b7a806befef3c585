"""The power goes in the middle of each command that writes, and the command is given again."""

import csv
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from sqlite3 import connect
from zipfile import ZipFile

from tests.benchmarks.plug_places import (
    MACHINES,
    Counts,
    Ended,
    Places,
    counts_of,
    differing,
    manage,
    must,
    run,
)

READINGS = 30_000
"""Rows of the file that is taken in: three batches, so that it can be cut between two."""
EARLIEST = 0.35
"""Share of a command's time before which it is only starting up, and is not killed."""

Look = Callable[[Path], Counts]
KEPT_TWICE = {"fleet_import": 1}
"""Cut between its commit and its end, a file is brought in again: its import is all that it adds,
with what was refused of it."""


@dataclass(frozen=True)
class Cut:
    """A command to be cut off: where, with which words, and what may differ afterwards.

    begin: makes the place.  look: counts what is there.  more: table -> rows that each cut may
    leave beyond those of a run that nobody cut.  none_again: status 2 is right as well, since the
    work had been done when the power went and the command says so.
    """

    name: str
    begin: Callable[[Places], Path]
    words: Callable[[Places, Path], list[str]]
    look: Look = counts_of
    more: Mapping[str, int] = field(default_factory=dict)
    none_again: str = ""


def readings_file(places: Places) -> Path:
    """Return a file of readings of the small fleet's machines, an hour apart, in years to come."""
    file = places.folder / "readings.csv"
    if file.exists():
        return file
    with closing(connect(places.loaded() / "evener.sqlite3")) as there:
        meters = there.execute(
            "select m.tag, t.kind from fleet_meter t join fleet_machine m on m.id = t.machine_id"
            " where t.kind = 'hours' and t.removed_at is null and m.retired_on is null"
        ).fetchall()
    each = READINGS // len(meters)
    begin = datetime(2019, 1, 1, tzinfo=UTC)
    with file.open("w", newline="") as out:
        rows = csv.writer(out)
        rows.writerow(["machine", "meter", "read at", "value"])
        for number in range(each):
            at = begin + timedelta(hours=number)
            for tag, kind in meters:
                rows.writerow([tag, kind, at.isoformat(), f"{number * 0.001:.3f}"])
    return file


def copy_file(places: Places) -> Path:
    """Return a copy of the small site."""
    file = places.folder / "copy.zip"
    if not file.exists():
        must(manage(places.loaded(), "back_up", str(file)))
    return file


def _workbook(places: Places) -> Path:
    file = places.folder / "fleet.xlsx"
    if not file.exists():
        made = "import sys; from pathlib import Path; import django; django.setup();"
        made += "from tests.fleet.bring_in.workbooks import workbook;"
        made += "Path(sys.argv[1]).write_bytes(workbook())"
        must(run(places.migrated(), ["-c", made, str(file)],
                 DJANGO_SETTINGS_MODULE="fleet.settings"))  # fmt: skip
    return file


def _of_copy(folder: Path) -> Counts:
    """Count the files in a copy, and what the making of it left beside it."""
    left = list(folder.parent.glob(".copying-*"))
    copy = folder.with_suffix(".zip")
    files = len(ZipFile(copy).namelist()) if copy.exists() else 0
    return {"files in the copy": files, "left beside it": len(left)}


def _with_photos(folder: Path) -> Counts:
    return counts_of(folder) | {"photos": len(list((folder / "photos").rglob("*.jpg")))}


def _loaded(places: Places) -> Path:
    return places.new(places.loaded())


def _migrated(places: Places) -> Path:
    return places.new(places.migrated())


def cuts() -> list[Cut]:
    """Return every command that writes into the site's own database and files."""
    return [
        Cut("migrate", lambda places: places.new(), lambda *_: ["migrate", "-v0"]),
        Cut("load_demo", _migrated, lambda *_: ["load_demo", "--machines", str(MACHINES)]),
        Cut("nightly", _loaded, lambda *_: ["nightly", "--seconds", "2"],
            more={"scheduling_plansearch": 1}),
        Cut("backtest_forecasts", _loaded, lambda *_: ["backtest_forecasts"]),
        Cut("import_readings", _loaded,
            lambda places, _: ["import_readings", str(readings_file(places))]),
        Cut("bring_in, a small file", _migrated,
            lambda places, _: ["bring_in", str(_workbook(places)), "--make-missing"],
            more=KEPT_TWICE),
        Cut("bring_in, a large file", _loaded,
            lambda places, _: ["bring_in", str(readings_file(places))],
            more={**KEPT_TWICE, "fleet_importrefusal": READINGS}),
        Cut("hindsight", _loaded, lambda *_: ["hindsight", "--seeds", "1", *_hundred_days()]),
        Cut("back_up", _loaded, lambda _, folder: ["back_up", str(folder.with_suffix(".zip"))],
            look=_of_copy),
        Cut("restore", lambda places: places.new(),
            lambda places, _: ["restore", str(copy_file(places))], look=_with_photos,
            none_again="into an empty place only"),
        Cut("make_key", _loaded, lambda *_: ["make_key", "Web shop", "--scope", "desk"],
            more={"fleet_clientkey": 1, "fleet_loggedchange": 1}),
    ]  # fmt: skip


def _hundred_days() -> list[str]:
    last = datetime.now(UTC).date() - timedelta(days=2)
    return ["--from", str(last - timedelta(days=99)), "--to", str(last)]


@dataclass
class Told:
    """What came of a command: how often it was cut, and what was wrong afterwards."""

    name: str
    seconds: float
    cut: int = 0
    ended_before: int = 0
    wrong: list[str] = field(default_factory=list)
    says: str = ""

    def line(self) -> str:
        """Return it as a line."""
        fault = "; ".join(self.wrong) or "whole each time, nothing doubled"
        return (
            f"{self.name}: {self.seconds:.0f} s, cut {self.cut} times, at its end before that"
            f" {self.ended_before} times: {fault}. It says: {self.says}"
        )


def try_cut(places: Places, cut: Cut, times: int) -> Told:
    """Run a command once to its end, then as often cut off and again; return what was found."""
    place = cut.begin(places)
    whole = must(manage(place, *cut.words(places, place)))
    told, want = Told(cut.name, whole.seconds, says=whole.last[:160]), cut.look(place)
    for _ in range(times):
        place = cut.begin(places)
        words = ["manage.py", *cut.words(places, place)]
        moment = whole.seconds * places.chance.uniform(EARLIEST, 1.0)
        first = run(place, words, after=moment)
        told.cut += first.status < 0
        told.ended_before += first.status == 0
        counts_of(place)  # raises where the database is damaged
        again = run(place, words)
        told.wrong += faults_of(cut, again, differing(cut.look(place), want), moment)
        sys.stderr.write(f"  {cut.name}, cut after {moment:.1f} s, then: {again.last[:120]}\n")
    return told


def faults_of(cut: Cut, again: Ended, by: Counts, moment: float) -> list[str]:
    """Say what is wrong after a command was cut off and given again; by: rows more, or less."""
    found = []
    fine = again.status == 0 or (cut.none_again and cut.none_again in again.said)
    if not fine:
        found.append(f"cut after {moment:.1f} s, then status {again.status}: {again.last[:300]}")
    beyond = {name: n for name, n in by.items() if not 0 < n <= cut.more.get(name, 0)}
    if beyond:
        found.append(f"cut after {moment:.1f} s, then rows differ: {beyond}")
    return found


def cut_commands(places: Places, times: int, only: str = "") -> Iterator[Told]:
    """Try every command, or one; tell each as it is done."""
    yield from (try_cut(places, cut, times) for cut in cuts() if only in cut.name)
