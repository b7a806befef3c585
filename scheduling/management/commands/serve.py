"""manage.py serve: a shop's own site on one machine: web server, worker and schedule together."""

import os
import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from fleet.queries.tables_behind import say_behind
from scheduling.serving.lock import PATIENCE, DemoRunsError, hold_lock
from scheduling.serving.open_database import held_open
from scheduling.serving.ports import HOST, NoPortError, address_of, choose
from scheduling.serving.programs import children, environment, wait_until_up
from scheduling.serving.steps import Steps
from scheduling.serving.supervisor import Supervisor


class Command(BaseCommand):
    help = "Serve this site on one machine: web server, worker and schedule, until Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, help="else the first free one from 8000 on")
        parser.add_argument(
            "--host",
            default=HOST,
            help="address to listen on; with other than this machine's own, set BASE_URL and"
            " ALLOWED_HOSTS, and put a proxy with TLS before it",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            port = choose(options["port"])
            with hold_lock(settings.DATA, address_of(port), PATIENCE) as lock:
                self._run(lock, port, options["host"])
        except (NoPortError, DemoRunsError) as error:
            raise CommandError(str(error), returncode=2) from error
        except KeyboardInterrupt:
            raise CommandError(
                "Stopped before it was ready; start it again.", returncode=130
            ) from None

    def _run(self, lock: int, port: int, host: str) -> None:
        behind = say_behind()
        if behind:
            raise CommandError(
                f"Not started: {behind} first (keep a copy of the database), then start again.",
                returncode=2,
            )
        connections.close_all()
        with held_open(settings.DATABASES["default"]):
            self._serve(lock, port, host)

    def _serve(self, lock: int, port: int, host: str) -> None:
        steps = Steps(sys.stdout, total=1)
        held = Supervisor(
            children(port, settings.DATA / "logs", host),
            environment(port, os.environ),
            self.stderr.write,
            [lock],
            for_good=True,
        )
        try:
            held.start()
            with steps.step("Web server and worker") as tell:
                up = wait_until_up(port, held)
                tell("up" if up else "stopped" if held.stopping else "it does not answer yet")
            if not up and not held.stopping:
                self.stderr.write(f"It is tried on and on; {settings.DATA / 'logs'} says why.")
            self.stdout.write(f"Evener is at {address_of(port)}/  (Ctrl-C stops all of it)")
            self.stdout.flush()
            held.watch()
        finally:
            held.stop()
        self.stdout.write("Stopped.")
