"""The meter round: readings of a yard typed in one sweep, each checked as it is typed."""

from dataclasses import dataclass, replace
from secrets import token_hex
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.forms.round_forms import RoundLine, RoundTerms, answered_line
from fleet.from_phone import pressed_at, say_taken
from fleet.models import Person, Role, Yard
from fleet.queries.last_act import last_act
from fleet.queries.mine import day_of, yards_of
from fleet.queries.rounds import (
    A_PAGE,
    Way,
    dials_for,
    dials_of_machines,
    meters_of,
    walk_round,
)

BY_TAG, NEAR, WORTH = "tag", "near", "worth"
"""Orders: as a person walks past the machines, one's own yard first, the most useful first."""
ALL_YARDS = "all"
MOST_DIGITS = 18
"""Digits of a key that a database can hold."""


@dataclass(frozen=True)
class _Asked:
    """What a round is asked for.  yard None: all yards, if there are any."""

    yard: Yard | None
    order: str
    sought: str

    @property
    def rest(self) -> str:
        """All of it but the order, as part of an address."""
        said = {"yard": self.yard.pk if self.yard else ALL_YARDS, "q": self.sought}
        return urlencode({name: text for name, text in said.items() if text})


def _asked(person: Person, yards: list[Yard], asked: QueryDict) -> _Asked:
    """Read it; a hand's round begins in their own yard, the nearest first."""
    hand = person.role == Role.HAND
    sought = asked.get("q", "").strip()[:60]
    home = str(person.home_yard_id) if hand and person.home_yard_id else ""
    name = ALL_YARDS if sought else asked.get("yard", "") or home  # sought is wherever it stands
    yard = None if name == ALL_YARDS else _chosen(yards, name)
    order = asked.get("order", "")
    known = order if order in (BY_TAG, NEAR, WORTH) else NEAR if hand else WORTH
    return _Asked(yard, known, sought)


@roles(Role.DESK, Role.MECHANIC, Role.HAND)
@require_http_methods(["GET", "HEAD", "POST"])
def meter_round(request: HttpRequest) -> HttpResponse:
    """Show a yard's meters; without scripts, take all that was typed at once."""
    person, now = signed_in(request), timezone.now()
    yards = list(yards_of(person))
    sent = request.POST if request.method == "POST" else request.GET
    asked = _asked(person, yards, sent)
    context: dict[str, object] = {
        "yards": yards, "yard": asked.yard, "key": token_hex(8), "asked_for": asked,
        "hand": person.role == Role.HAND, "home": person.home_yard, "any_yard": bool(yards),
    }  # fmt: skip
    if yards:
        sweep = RoundTerms(person, now, request.POST, pressed_at(request, now))
        way = Way(
            sent.get("page", ""), asked.order == BY_TAG, _typed(request.POST),
            near=asked.order == NEAR, sought=asked.sought,
        )  # fmt: skip
        walk = walk_round(person, asked.yard, way, now)
        lines = [answered_line(dial, sweep) for dial in walk.dials]
        if request.method == "POST":
            lines = _with_last(lines, person)
        context |= {
            "round": walk,
            "lines": lines,
            "by_tag": way.by_tag,
            "near": way.near,
            "asked": sum(line.asks for line in lines),
            "taken": sum(line.tone == "success" for line in lines),
            "read_at": request.POST.get("read_at", ""),
            "today": now.astimezone(asked.yard.zone).date() if asked.yard else day_of(person, now),
            "last_act": last_act(person, now),
        }
    page = render(request, "fleet/meter_round.html", context)
    return say_taken(page, taken=not context.get("asked"))


@roles(Role.DESK, Role.MECHANIC, Role.HAND)
@require_POST
def meter_round_line(request: HttpRequest, meter_id: int) -> HttpResponse:
    """Take what was typed for one meter and answer with its line alone."""
    person, now = signed_in(request), timezone.now()
    meter = get_object_or_404(meters_of(person), pk=meter_id)
    dial = dials_for([meter])[0]
    line = answered_line(dial, RoundTerms(person, now, request.POST, pressed_at(request, now)))
    if line.tone == "success":
        line = _with_last([line], person)[0]
    taken = line.tone == "success"
    context = {
        "line": line,
        "hand": person.role == Role.HAND,
        "today": now.astimezone(dial.yard.zone).date(),
        "to_undo": last_act(person, now, meter.machine) if taken else None,
    }
    return say_taken(render(request, "fleet/_round_line.html", context), taken)


def _with_last(lines: list[RoundLine], person: Person) -> list[RoundLine]:
    """Show what was just taken as the last reading; after a swap, on the meter fitted now."""
    machines = {line.dial.meter.machine_id for line in lines}
    fresh = {
        (dial.meter.machine_id, dial.kind): dial for dial in dials_of_machines(person, machines)
    }
    return [
        replace(line, dial=fresh.get((line.dial.meter.machine_id, line.dial.kind), line.dial))
        for line in lines
    ]


def _typed(posted: QueryDict) -> list[int]:
    """Return the keys of the meters that a form held, in its order."""
    keys = (name.removeprefix("value-") for name in posted if name.startswith("value-"))
    return [int(key) for key in keys if key.isdecimal() and len(key) < MOST_DIGITS][:A_PAGE]


def _chosen(yards: list[Yard], asked: str) -> Yard | None:
    return next((yard for yard in yards if str(yard.pk) == asked), next(iter(yards), None))


paths = [
    path("meter-round/", meter_round, name="meter-round"),
    path("meter-round/<int:meter_id>/", meter_round_line, name="meter-round-line"),
]
