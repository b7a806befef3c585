"""Send a test letter and say in words what the mail server said."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from scheduling.notices.trial_letter import send_trial


class Command(BaseCommand):
    help = "Send a test letter to ADDRESS at once, and say in words what the mail server said."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("address")

    def handle(self, *args: Any, **options: Any) -> None:
        answer = send_trial(options["address"], timezone.now())
        if not answer.taken:
            raise CommandError(answer.said, returncode=1)
        self.stdout.write(answer.said)
