"""The whole main job once, in process: forecasts, blocks, plan, notices."""

import json
from argparse import ArgumentParser
from datetime import date, datetime
from time import perf_counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.models import Shop
from fleet.queries.by_name import all_shops
from scheduling.worker.night import PLAN_SECONDS, PLAN_SECONDS_A_PIECE, run_night
from scheduling.worker.nights_beside import nights_beside, one_writer

NO_SHOP = (
    "There is no shop yet, so there is nothing to run. Load the demo with `python manage.py "
    "load_demo`, or make your own: `python manage.py createsuperuser`, start the site, sign in and "
    "open Set-up."
)


MOST_SECONDS = 86_400
"""A day: the next night is due by then."""

MOST_PROCESSES = 64
"""More than any computer of this trade has cores."""

ONE_AT_A_TIME = "SQLite takes one writer at a time: the shops are worked on one after the other."
"""What is said where several processes were asked for."""


class Command(BaseCommand):
    help = "Run the nightly run of every shop now: forecasts, blocks, plan, notices."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--date", help="run as on that day, such as 2026-03-02; else today")
        parser.add_argument("--shop", help="that shop alone, by its name")
        parser.add_argument(
            "--seconds",
            type=float,
            help=f"to look for a better plan, a shop ({PLAN_SECONDS:g}, and"
            f" {PLAN_SECONDS_A_PIECE:g} for each piece of work)",
        )
        parser.add_argument(
            "--processes",
            type=int,
            default=1,
            help="shops worked on beside each other, on PostgreSQL; else 1",
        )
        parser.add_argument("--json", action="store_true", help="counts and seconds by stage")

    def handle(self, *args: Any, **options: Any) -> None:
        day, seconds = _day(options["date"]), _seconds(options["seconds"])
        shops = _shops(options["shop"])
        if not shops:
            self._say_empty(as_json=options["json"])
            return
        began = perf_counter()
        clock = timezone.now()
        nights = [(shop, _moment(shop, day, clock)) for shop in shops]
        tell = None if options["json"] else self.stdout.write
        processes = _processes(options["processes"])
        if processes > 1 and one_writer():
            processes = 1
            if tell:
                tell(ONE_AT_A_TIME)
        if processes > 1:
            beside = [(shop.pk, moment) for shop, moment in nights]
            reports = list(nights_beside(beside, seconds, processes))
        else:
            reports = [run_night(shop, moment, tell, seconds) for shop, moment in nights]
        if options["json"]:
            took = round(perf_counter() - began, 3)
            self.stdout.write(json.dumps({"shops": reports, "seconds": took}, indent=2))
        else:
            for report in reports:
                self.stdout.write("\n".join(_lines(report)))
        _check(reports)

    def _say_empty(self, *, as_json: bool) -> None:
        self.stdout.write(json.dumps({"shops": [], "missing": NO_SHOP}) if as_json else NO_SHOP)


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as error:
        raise CommandError(
            f"--date is {text!r}, which is not a day; write it as 2026-03-02.", returncode=2
        ) from error


def _seconds(wanted: float | None) -> float | None:
    if wanted is not None and not 0 < wanted < MOST_SECONDS:
        raise CommandError(
            f"--seconds takes a number above 0 and below {MOST_SECONDS:,}.", returncode=2
        )
    return wanted


def _processes(wanted: int) -> int:
    if not 0 < wanted <= MOST_PROCESSES:
        raise CommandError(f"--processes takes a number from 1 to {MOST_PROCESSES}.", returncode=2)
    return wanted


def _shops(name: str | None) -> list[Shop]:
    shops = all_shops()
    if not name:
        return shops
    found = [shop for shop in shops if shop.name.casefold() == name.casefold()]
    if not found:
        names = ", ".join(repr(shop.name) for shop in shops) or "none yet"
        raise CommandError(
            f"--shop is {name!r}, and there is no such shop; there are: {names}.", returncode=2
        )
    return found


def _moment(shop: Shop, day: date | None, clock: datetime) -> datetime:
    """Return now, or the shop's nightly hour of another day."""
    if day is None or day == clock.astimezone(shop.zone).date():
        return clock
    return datetime.combine(day, shop.nightly_at, tzinfo=shop.zone).astimezone(clock.tzinfo)


def _lines(report: dict[str, Any]) -> list[str]:
    """Say what one shop's night did, one line a stage."""
    lines = [f"{report['shop']}, {report['day']}: {report['seconds']:.1f} s"]
    for name, counts in report["stages"].items():
        said = counts.get("failed") or ", ".join(
            f"{key.replace('_', ' ')} {_short(value)}"
            for key, value in counts.items()
            if key != "seconds" and _short(value)
        )
        word = "FAILED: " if "failed" in counts else ""
        lines.append(f"  {name} ({counts['seconds']:.1f} s): {word}{said}")
    return lines + [f"  missing: {sentence}" for sentence in report["missing"]]


def _short(value: Any) -> str:
    """Return a count as a word; lists by their length, tables entry by entry."""
    if isinstance(value, dict):
        return ", ".join(f"{key} {_short(each)}" for key, each in value.items())
    return str(len(value)) if isinstance(value, list) else str(value)


def _check(reports: list[dict[str, Any]]) -> None:
    failed = [
        f"{r['shop']}, {name}"
        for r in reports
        for name, counts in r["stages"].items()
        if "failed" in counts
    ]
    if failed:
        raise CommandError(f"These stages failed; the log says why: {'; '.join(failed)}.")
