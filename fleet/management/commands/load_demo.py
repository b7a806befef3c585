"""manage.py load_demo: the demo fleet, or one of N machines, into an empty database."""

import sys
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.demo.load_fleet import NotEmptyError, Wanted, load
from fleet.demo.loaded_demo import loaded_demo
from fleet.demo.scenario import zone
from fleet.demo.sign_ins import lines
from fleet.models import DemoMark


class Command(BaseCommand):
    help = "Load the invented demo fleet into an empty database."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--machines", type=int, help="how many; left out: the county's 98")
        parser.add_argument("--seed", type=int, default=7)
        parser.add_argument("--date", help="the day that is to be today, as 2026-11-25")

    def handle(self, *args: Any, **options: Any) -> None:
        wanted = self._wanted(options)
        mark = loaded_demo()
        if mark:
            self._already(mark, options)
            return
        try:
            readings = load(wanted, self._progress)
        except NotEmptyError as error:
            raise CommandError(str(error), returncode=2) from error
        mark = loaded_demo()
        assert mark is not None, "loading ends with the mark"
        self.stdout.write(
            f"{mark.machines} machines with {readings:,} readings, as of {wanted.today}."
        )
        for line in lines():
            self.stdout.write(line)

    def _wanted(self, options: dict[str, Any]) -> Wanted:
        machines, seed = options["machines"], options["seed"]
        if machines is not None and machines < 1:
            raise CommandError("--machines takes a number from 1 up.", returncode=2)
        if seed < 0:
            raise CommandError("--seed takes a number from 0 up.", returncode=2)
        return Wanted(self._today(options["date"]), seed, machines)

    def _today(self, text: str | None) -> date:
        if not text:
            return timezone.now().astimezone(zone()).date()
        try:
            return date.fromisoformat(text)
        except ValueError as error:
            raise CommandError(
                f"--date is {text!r}; write it as 2026-11-25.", returncode=2
            ) from error

    def _already(self, mark: DemoMark, options: dict[str, Any]) -> None:
        """Say that it is here, or refuse if another demo was asked for."""
        other = options["machines"] not in (None, mark.machines) or options["seed"] != mark.seed
        if other:
            raise CommandError(
                f"This database holds another demo already ({mark}). Set EVENER_DATA to a new"
                " folder (or DATABASE_URL to a new database).",
                returncode=2,
            )
        self.stdout.write(f"The demo fleet is here already ({mark}); nothing to do.")

    def _progress(self, done: int, total: int) -> None:
        if sys.stderr.isatty() or done == total:
            self.stderr.write(f"machines written: {done:,} of {total:,}")
