"""Last done: for each class, day and meter of the last services, typed in one sweep."""

from dataclasses import dataclass
from secrets import token_hex

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.access import roles, signed_in
from fleet.actions.put_in_last_done import PutIn, put_in_last_done
from fleet.forms.last_done_form import LastDoneCell, TypedGrid, judge_typed, machines_typed
from fleet.models import Machine, Role
from fleet.queries.last_done_grid import (
    LastDoneGrid,
    classes_to_ask,
    last_done_grid,
    places_of,
)
from fleet.queries.machine_classes import machine_classes
from fleet.queries.mine import day_of
from fleet.saying import counted, joined


@roles(Role.MECHANIC)
def last_done(request: HttpRequest) -> HttpResponse:
    """List the classes with how much of each is still to be said."""
    classes = classes_to_ask(signed_in(request))
    context = {
        "classes": classes,
        "open": sum(one.open for one in classes),
        "asked": sum(one.asked for one in classes),
    }
    return render(request, "fleet/last_done.html", context)


@roles(Role.MECHANIC)
@require_http_methods(["GET", "HEAD", "POST"])
def last_done_of_class(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a class's machines beside their services; take all that was typed at once."""
    person, now = signed_in(request), timezone.now()
    machine_class = get_object_or_404(machine_classes(), pk=pk)
    page = request.POST.get("page", "") or request.GET.get("page", "")
    typed = None
    if request.method == "POST":
        places = places_of(person, machines_typed(request.POST))
        typed = judge_typed(places, request.POST, now)
        done = put_in_last_done(typed.services(), typed.said(), by=person, now=now)
        if not typed.faulty:
            messages.success(request, _done(done))
            return redirect(f"{reverse('last-done-of-class', args=[pk])}?page={page}")
    grid = last_done_grid(person, machine_class, page)
    context = {
        "grid": grid,
        "rows": _rows(grid, typed),
        "faulty": typed.faulty if typed else [],
        "key": _key(request.POST),
        "today": day_of(person, now),
        "begin": next(
            (row for row, places in grid.rows if any(p and not p.known for p in places)), None
        ),
        "open": sum(
            not place.known for _, places in grid.rows for place in places if place is not None
        ),
    }
    return render(request, "fleet/last_done_of_class.html", context)


def _key(posted: QueryDict) -> str:
    return posted.get("key", "")[:40] or token_hex(8)


@dataclass(frozen=True)
class ClassRow:
    """One machine with its cells, None where it has no such service; keys of its neighbours."""

    machine: Machine
    cells: list[LastDoneCell | None]
    before: int | None
    after: int | None


def _rows(grid: LastDoneGrid, typed: TypedGrid | None) -> list[ClassRow]:
    """Return the rows as cells; those that were typed and are wrong hold what was typed."""
    wrong = {
        (cell.place.machine.pk, cell.place.service.pk): cell
        for cell in (typed.faulty if typed else ())
    }
    around = [None, *(machine.pk for machine, _ in grid.rows), None]
    return [
        ClassRow(
            machine,
            [
                wrong.get((machine.pk, place.service.pk), LastDoneCell(place, answer=place.answer))
                if place
                else None
                for place in places
            ],
            around[number],
            around[number + 2],
        )
        for number, (machine, places) in enumerate(grid.rows)
    ]


def _done(done: PutIn) -> str:
    parts = []
    if done.services:
        parts.append(f"{counted(done.services, 'service')} put into the book")
    if done.answers:
        parts.append(f"{counted(done.answers, 'answer')} kept")
    return f"{joined(parts)}." if parts else "Nothing was typed, so nothing has changed."


paths = [
    path("set-up/last-done/", last_done, name="last-done"),
    path("set-up/last-done/<int:pk>/", last_done_of_class, name="last-done-of-class"),
]
