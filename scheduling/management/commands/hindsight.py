"""manage.py hindsight: a shop's own past lived through again, with plans beside the book."""

import json
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.queries.shops_called import shop_called
from fleet.refusal import Refusal
from scheduling.actions.live_again import keep_past
from scheduling.hindsight.past_loading import load_past
from scheduling.hindsight.replayed_year import SEEDS, relive
from scheduling.hindsight.too_thin import refuse_thin, span_of
from scheduling.wording.hindsight_words import (
    hindsight_assumed,
    hindsight_lines,
    hindsight_price,
    hindsight_rows,
    hindsight_sentence,
)

MOST_SEEDS = 20
EVERY = 30
"""Nights from one word of progress to the next."""


class Command(BaseCommand):
    help = (
        "Live through a shop's own past again, night by night, knowing only what was known then:"
        " what Evener would have planned, against what was done.  Some minutes for a hundred"
        " machines and a year."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--shop", default="", help="its name; may be left out of the only one")
        parser.add_argument("--from", dest="first", help="first day; else a year ago")
        parser.add_argument("--to", dest="last", help="last day; else yesterday")
        parser.add_argument("--seeds", type=int, default=SEEDS, help="runs with other chances")
        parser.add_argument("--keep", action="store_true", help="let the shop's page show it too")
        parser.add_argument("--json", action="store_true", help="print the figures as JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        if not 1 <= options["seeds"] <= MOST_SEEDS:
            raise CommandError(f"--seeds is from 1 to {MOST_SEEDS}.", returncode=2)
        try:
            shop = shop_called(options["shop"])
            span = span_of(shop, now, _day(options, "first"), _day(options, "last"))
            loaded = load_past(shop, span.first, span.last, now)
            refuse_thin(loaded)
        except Refusal as no:
            raise CommandError(no.sentence, returncode=2) from None
        result = relive(loaded, options["seeds"], self._tell)
        if options["keep"]:
            keep_past(shop, span, result, now=now)
        says = hindsight_sentence(result, span.first, span.last)
        if options["json"]:
            days = {"first": span.first.isoformat(), "last": span.last.isoformat()}
            whole = {"shop": str(shop), **days, "says": says, "price": hindsight_price(result),
                     **result, "assumed": hindsight_assumed(result)}  # fmt: skip
            self.stdout.write(json.dumps(whole, indent=1))
            return
        lines = [
            says,
            hindsight_price(result),
            "",
            *hindsight_lines(hindsight_rows(result)),
            "",
            "What was assumed:",
        ]
        lines += [f"- {sentence}" for sentence in hindsight_assumed(result)]
        self.stdout.write("\n".join(lines))

    def _tell(self, night: int, nights: int) -> bool:
        if night % EVERY == 0:
            self.stderr.write(f"{night} of {nights} nights")
        return True


def _day(options: dict[str, Any], name: str) -> date | None:
    text = options[name]
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as error:
        flag = {"first": "--from", "last": "--to"}[name]
        raise CommandError(
            f"{flag} is {text!r}, which is not a day; write it as 2026-03-02.", returncode=2
        ) from error
