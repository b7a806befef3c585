"""Make a key for another program."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.actions.make_keys import NewKey, make_key
from fleet.models import KeyScope
from fleet.models.client_keys import OFFERED
from fleet.queries.by_name import person_named, shop_named
from fleet.refusal import Refusal


class Command(BaseCommand):
    help = (
        "Make a key by which another program asks and books, and print it alone on the last line."
        " It is shown this once: only a digest of it is kept."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the client that gets it")
        parser.add_argument(
            "--scope", action="append", choices=[one.value for one in OFFERED], required=True,
            help="what it is for; may be given more than once",
        )  # fmt: skip
        parser.add_argument("--shop", default="", help="the one shop whose machines it reaches")
        parser.add_argument(
            "--person", default="", help="user name of who answers for what comes by it"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        shop = shop_named(options["shop"]) if options["shop"] else None
        if options["shop"] and shop is None:
            raise CommandError(f"There is no shop called {options['shop']!r}.", returncode=2)
        person = person_named(options["person"]) if options["person"] else None
        if options["person"] and person is None:
            raise CommandError(f"Nobody signs in as {options['person']!r}.", returncode=2)
        new = NewKey(options["name"], [KeyScope(one) for one in options["scope"]], shop, person)
        try:
            key, word = make_key(new, by=None, now=timezone.now())
        except Refusal as no:
            raise CommandError(no.sentence, returncode=2) from None
        reach = key.shop or "every shop"
        self.stdout.write(f"Key of {key.name} for {', '.join(key.scopes)}, {reach}; keep it safe:")
        self.stdout.write(word)
