"""manage.py backtest_forecasts: keep and score what past nights would have said, from the facts."""

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.queries.by_name import all_shops
from scheduling.hindsight.backtest import EVERY, backtest, whole_year
from scheduling.hindsight.forecast_outcomes import load_outcomes
from scheduling.hindsight.level_adjusting import adjust


class Command(BaseCommand):
    help = "Go through past nights again: what the forecasts would have said, and what came true."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--from", dest="first", help="day to begin on; else 16 months ago")
        parser.add_argument("--every", type=int, default=EVERY, help="days between two nights")

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        if options["every"] < 1:
            raise CommandError("--every takes a number of days from 1 up.", returncode=2)
        shops = all_shops()
        if not shops:
            self.stdout.write("There is no shop yet, so there is nothing to backtest.")
        for shop in shops:
            today = now.astimezone(shop.zone).date()
            first = _first(options["first"], today)
            kept = backtest(shop, now, first, options["every"])
            adjust(shop, load_outcomes(shop, today), today)
            self.stdout.write(f"{shop}: {kept:,} forecasts kept, from {first} on.")


def _first(text: str | None, today: date) -> date:
    if not text:
        return whole_year(today)
    try:
        first = date.fromisoformat(text)
    except ValueError as error:
        raise CommandError(
            f"--from is {text!r}, which is not a day; write it as 2026-03-02.", returncode=2
        ) from error
    if first >= today:
        raise CommandError(f"--from is {first}, which is not in the past.", returncode=2)
    return first
