"""Write the problem that the night would solve for a shop, for `solve_plan` and the benchmarks."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.queries.shops_called import shop_called
from fleet.refusal import Refusal
from scheduling.plan.shop_problem import instance, load_shop


class Command(BaseCommand):
    help = "Write a shop's planning problem as it stands now, as a file of format shop-plan-1."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--shop", default="", help="its name; may be left out of the only one")
        parser.add_argument("--out", required=True, help="the JSON file to write")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            shop = shop_called(options["shop"])
        except Refusal as no:
            raise CommandError(no.sentence, returncode=2) from None
        problem = instance(load_shop(shop, timezone.now()))
        try:
            Path(options["out"]).write_text(json.dumps(problem, indent=1), encoding="utf-8")
        except OSError as error:
            raise CommandError(f"{options['out']}: {error.strerror}.", returncode=2) from None
        self.stdout.write(
            f"{shop}: {len(problem['machines'])} machines, {len(problem['tasks'])} pieces of work,"
            f" {len(problem['mechanics'])} mechanics, {problem['horizon_days']} days."
        )
