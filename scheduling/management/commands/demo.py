"""manage.py demo: the whole site with its worker, on the demo fleet, from one command."""

import os
import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone

from fleet.demo.load_fleet import NotEmptyError
from fleet.demo.sign_ins import lines
from scheduling.serving import prepare
from scheduling.serving.lock import PATIENCE, DemoRunsError, hold_lock
from scheduling.serving.open_database import held_open
from scheduling.serving.ports import NoPortError, address_of, choose
from scheduling.serving.programs import children, demo_environment, wait_until_up
from scheduling.serving.steps import Steps
from scheduling.serving.supervisor import Supervisor

EMBEDDED_ONLY = ("DATABASE_URL", "REDIS_URL")
"""With these set the demo would write its fleet into somebody's own database."""


class Command(BaseCommand):
    help = "Prepare and serve the demo: database, fleet, nightly run, web server and worker."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, help="else the first free one from 8000 on")

    def handle(self, *args: Any, **options: Any) -> None:
        set_outside = [name for name in EMBEDDED_ONLY if os.environ.get(name)]
        if set_outside:
            raise CommandError(
                f"The demo runs on its own embedded database and queue; unset"
                f" {' and '.join(set_outside)} first.",
                returncode=2,
            )
        try:
            port = choose(options["port"])
            with hold_lock(settings.DATA, address_of(port), PATIENCE) as lock:
                self._run(lock, port)
        except (NoPortError, DemoRunsError, NotEmptyError) as error:
            raise CommandError(str(error), returncode=2) from error
        except KeyboardInterrupt:
            raise CommandError(
                "Stopped before it was ready; start it again.", returncode=130
            ) from None

    def _run(self, lock: int, port: int) -> None:
        # Notices of the nightly run carry links: they must lead to the port that is served.
        settings.BASE_URL = address_of(port)
        now = timezone.now()
        steps = Steps(sys.stdout, total=6)
        with steps.step("Database") as tell:
            prepare.migrate(tell)
        with steps.step("Demo fleet") as tell:
            prepare.fleet(now, tell)
        with steps.step("Days since") as tell:
            lived = prepare.days_since(now, tell)
        with steps.step("Past forecasts") as tell:
            prepare.past_forecasts(now, tell)
        with steps.step("Nightly run") as tell:
            prepare.nights(now, tell, anew=lived > 0)
        connections.close_all()
        with held_open(settings.DATABASES["default"]):
            self._serve(lock, port, steps)

    def _serve(self, lock: int, port: int, steps: Steps) -> None:
        held = Supervisor(
            children(port, settings.DATA / "logs"),
            demo_environment(port),
            self.stderr.write,
            [lock],
        )
        try:
            held.start()
            with steps.step("Web server and worker") as tell:
                up = wait_until_up(port, held)
                tell("up" if up else "stopped")
            if up:
                self._welcome(port)
            good = held.watch() if up else held.stopping
        finally:
            held.stop()
        if not good:
            raise CommandError(f"The demo could not go on; see {settings.DATA / 'logs'}.")
        self.stdout.write("Stopped.")

    def _welcome(self, port: int) -> None:
        self.stdout.write("")
        self.stdout.write(f"Evener's demo is at {address_of(port)}/  (Ctrl-C stops all of it)")
        for line in lines():
            self.stdout.write(line)
        self.stdout.write(
            f"Mail is written to {settings.DATA / 'mail'}, logs to {settings.DATA / 'logs'}."
        )
        self.stdout.flush()
