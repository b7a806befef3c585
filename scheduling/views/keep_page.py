"""What is typed on a job sheet comes in as it is typed, and is let go when nobody wants it."""

import json
from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.actions.keep_sheet_entries import NewEntry, keep_entries, let_go
from fleet.models import Machine, Person, Role
from fleet.queries.machine_called import machine_called
from fleet.queries.mine import day_of
from fleet.queries.who_works import machines_at_work
from fleet.refusal import Refusal
from fleet.todays_tag import led_by_tag
from scheduling.queries.open_entries import entries_to_let_go


def _machine(person: Person, tag: str, now: datetime) -> Machine:
    machine = machine_called(machines_at_work(person, day_of(person, now)), tag)
    if machine is None:
        raise Http404(f"No machine {tag} in your shop.")
    return machine


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def keep(request: HttpRequest, tag: str) -> HttpResponse:
    """Keep entries of one sheet, as JSON; says whether that sheet is in the book by now."""
    person, now = signed_in(request), timezone.now()
    machine = _machine(person, tag, now)
    try:
        # a form with a file in it was read when its key was looked for, and is no list of entries
        if request.content_type == "multipart/form-data":
            raise ValueError(request.content_type)
        sheet, entries = read_entries(json.loads(request.body))
        open_still = keep_entries(machine, sheet, entries, by=person, now=now)
    except (ValueError, KeyError, TypeError, OverflowError, OSError):
        return JsonResponse({"why": "This is no list of entries."}, status=400)
    except Refusal as refused:
        return JsonResponse({"why": refused.sentence}, status=400)
    return JsonResponse({"kept": [one.key for one in entries], "spent": not open_still})


def read_entries(said: Any) -> tuple[str, list[NewEntry]]:
    """Return the key of a sheet and its entries; at: milliseconds since 1970, by the phone.

    Raises:
        ValueError, KeyError, TypeError, OverflowError, OSError: it is no list of entries.

    """
    sheet = str(said["sheet"])
    entries = [
        NewEntry(
            field=str(one["field"]),
            value=str(one["value"]),
            typed_at=datetime.fromtimestamp(float(one["at"]) / 1000, UTC),
            key=str(one["key"]),
            label=str(one.get("label", "")),
        )
        for one in said["entries"]
    ]
    texts = [(sheet, 32), *((one.field, 160) for one in entries), *((e.key, 40) for e in entries)]
    if not all(0 < len(text) <= most and "\0" not in text for text, most in texts):
        raise ValueError("a key or a name is empty or too long")
    if any("\0" in one.value + one.label for one in entries):
        raise ValueError("text with a zero byte")
    return sheet, entries


@roles(Role.MECHANIC)
@led_by_tag
@require_POST
def let_entries_go(request: HttpRequest, tag: str) -> HttpResponse:
    """Let go of entries that nobody will put into the book."""
    person, now = signed_in(request), timezone.now()
    machine = _machine(person, tag, now)
    let_go(entries_to_let_go(machine, person, request.POST.getlist("entry")), by=person, now=now)
    messages.success(request, "Let go; it is not asked about any more.")
    return redirect("job", machine.tag)


paths = [
    path("bench/<str:tag>/keep/", keep, name="keep-entries"),
    path("bench/<str:tag>/let-go/", let_entries_go, name="let-entries-go"),
]
