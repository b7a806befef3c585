"""Opens all that a person may open and send, in Spanish."""

import re

from django.db import transaction
from django.test import Client
from django.urls import reverse

from fleet.models import Person, Tongue
from fleet.tongues.both_languages import APART, FILES
from fleet.who_may import WHO_MAY
from tests import every_page

TYPED = re.compile(
    r"""(?x)
    Zz-P\ oil\ filter | \b[Zz][Zz]-[\w@.-]+ | /tmp/\S+  # tags, who signs in, where mail is put
    | \bZz\ (?:class|farm|grease|hand|oil|skill|yard)\b
    | (?i:brakes\ pull\ to\ the\ left | drain\ the\ oil | hydraulic\ hose\ chafed | longer\ boom
    | short\ job | \bpressure\b | \ba\ fuse\b | \bfuse\b | \bdead\b | \blower\b)"""
)
"""What people of the made shop have typed and set up: it is shown as they typed it."""
WITHOUT_WORDS = FILES | APART | {"sign-out", "sign-out-everywhere"}
"""Addresses that show no page of words: files, and what takes a press alone and leads away."""
REFUSED = {"yard", "set-up"}
"""Addresses of others, of which the refusal is read; it is the same for all of them."""


def opened(who: Person, part: str = "") -> dict[tuple[str, str, str], str]:
    """Return (name, address, method) -> page, of all that this person may ask for or send.

    part: of an address; the others are left out.
    """
    Person.objects.filter(pk=who.pk).update(language=Tongue.SPANISH)
    client = Client(SERVER_NAME="127.0.0.1", raise_request_exception=False)
    client.force_login(who, "django.contrib.auth.backends.ModelBackend")
    found = {}
    for page in every_page.pages():
        may = WHO_MAY.get(page.name)
        if page.is_sheet or may is None or page.name in WITHOUT_WORDS:
            continue
        ways = {"get": may.reads, "post": may.writes}
        asked = [way for way, roles in ways.items() if who.role in roles]
        if page.name in REFUSED:
            asked = ["get"]
        for arguments in page.examples if asked else ():
            for way in asked:
                address = reverse(page.called, kwargs=arguments)
                if part not in address:
                    continue
                place = transaction.savepoint()
                answer = getattr(client, way)(address, follow=way == "post")
                transaction.savepoint_rollback(place)
                if answer.headers.get("Content-Type", "").startswith("text/html"):
                    found[page.name, address, way] = TYPED.sub("", answer.text)
    return found
