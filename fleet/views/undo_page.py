"""One press that takes a person's last act back."""

import re

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, resolve_url
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import home_of, signed_in
from fleet.actions.undo_acts import undo_act
from fleet.models import Act, Role
from fleet.queries.act_places import booking_of
from fleet.queries.last_act import acts_of
from fleet.refusal import Refusal
from fleet.saying import capital

PLACES = {
    "hand over": "hand-over-correct",
    "record": "record",
    "booking": "booking",
    "finding": "finding",
    "reading": "reading",
}
"""Kind of row -> the page on which it is corrected."""
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo an act of one's own; where that cannot be, lead to where it is corrected."""
    person, now = signed_in(request), timezone.now()
    act = get_object_or_404(acts_of(person), pk=pk)
    try:
        undone = undo_act(act, by=person, now=now)
    except Refusal as no:
        messages.error(request, f"{capital(act.words)} is not undone. {no.sentence}")
        return redirect(_where_corrected(act, home_of(person)))
    if undone:
        messages.success(request, f"{capital(act.words)} is undone; it stays on record.")
    else:
        messages.info(request, f"{capital(act.words)} was undone before.")
    if person.role == Role.HAND and act.machine_id:
        return redirect("scan", act.machine_id)
    return redirect(_after(act, home_of(person), request.POST.get("day", "")))


def _where_corrected(act: Act, home: str) -> str:
    for kind, page in PLACES.items():
        if keys := act.rows.get(kind):
            return resolve_url(page, keys[0])
    return _after(act, home)


def _after(act: Act, home: str, day: str = "") -> str:
    """Return the page that shows what is left: the booking, the machine, or one's own.

    day: of the bench on which it was pressed, as 2026-03-31; "" where it was pressed elsewhere.
    """
    if booking := booking_of(act):
        return resolve_url("booking", booking)
    if DAY.fullmatch(day):
        return f"{resolve_url('bench')}?day={day}"
    if act.what in {Act.What.JOB, Act.What.PUT_OFF}:
        return resolve_url("bench")
    return str(act.machine.get_absolute_url()) if act.machine else home


paths = [path("undo/<int:pk>/", undo, name="undo")]
