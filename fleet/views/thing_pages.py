"""Pages of our own for what is set up: a list, a new one, one to be changed; one way for all."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import URLPattern, path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.keep_set_up import keep_set_up, take_out
from fleet.forms.things import MACHINES, MAKE_UPS, PEOPLE, THINGS, Thing
from fleet.forms.written_fields import FormPlace
from fleet.identity import serial_warning
from fleet.models import Role
from fleet.queries.hand_ways import has_no_key
from fleet.queries.history_of import history_of
from fleet.queries.logged_changes import changes_of_thing
from fleet.queries.makeup_intervals import site_units
from fleet.queries.mine import day_of, home_shop
from fleet.queries.shop_reach import within
from fleet.queries.sought_things import page_of
from fleet.queries.who_works import noted_days_off, say_days_off
from fleet.refusal import Refusal
from fleet.saying import capital

View = Callable[..., HttpResponse]
BACK, FIRST_STEPS = "back", "first-steps"
"""Part of an address that leads back to the guided first run, and the name of its page."""
A_DAY = ("day_", "hours_")
"""How the names of fields begin that stand for a day of the week."""


def _list(thing: Thing) -> View:
    @roles()
    def things(request: HttpRequest) -> HttpResponse:
        """List the things of a kind."""
        sought = request.GET.get("q", "").strip()[:80]
        mine = within(signed_in(request), thing.rows_listed())
        page = page_of(mine, thing.search, sought, request.GET.get("page", ""))
        lines = [(one, [show(one) for _, show in thing.columns]) for one in page]
        context = {"thing": thing, "page": page, "lines": lines, "sought": sought}
        return render(request, "fleet/things.html", context)

    return things


def _new(thing: Thing) -> View:
    @roles()
    @require_http_methods(["GET", "HEAD", "POST"])
    def thing_new(request: HttpRequest) -> HttpResponse:
        """Put in a new one."""
        return _one(request, thing, thing.model())

    return thing_new


def _edit(thing: Thing) -> View:
    @roles()
    @require_http_methods(["GET", "HEAD", "POST"])
    def thing_edit(request: HttpRequest, pk: int) -> HttpResponse:
        """Show one, to be changed."""
        return _one(request, thing, _row(request, thing, pk))

    return thing_edit


def _row(request: HttpRequest, thing: Thing, pk: int) -> Any:
    """Return a row that this person may touch; oneself always."""
    person = signed_in(request)
    if thing is PEOPLE and pk == person.pk:
        return get_object_or_404(thing.rows_listed(), pk=pk)
    return get_object_or_404(within(person, thing.rows_listed()), pk=pk)


def _one(request: HttpRequest, thing: Thing, row: Any) -> HttpResponse:
    """Show the form of a thing with its rows; keep what was typed if all of it fits."""
    person, now = signed_in(request), timezone.now()
    place = FormPlace(person, now, day_of(person, now), site_units(person))
    data = request.POST if request.method == "POST" else None
    form = thing.form(data, instance=row, place=place, initial=_asked(request, thing))
    rows = [each.build(thing.model, data, row, place) for each in thing.rows]
    # all are asked, so that every fault is said at once
    if data is not None and all([form.is_valid(), *(each.is_valid() for each in rows)]):
        kept = keep_set_up(form, rows, thing.log, thing.touched, by=person, now=now)
        for absence in noted_days_off(kept, now) if thing is PEOPLE else ():
            messages.info(request, say_days_off(absence))
        return _kept(request, thing, kept)
    context = {
        "thing": thing,
        "row": row,
        "name": str(row) if row.pk else "",
        "form": form,
        **_sorted(thing, form),
        "open": any(name in form.errors for name in thing.folded),
        "rows": list(zip(thing.rows, rows, strict=True)),
        "faults": [form, *(one for each in rows for one in each.forms)],
        "stays": history_of(row) if row.pk and thing.goes else "",
        "is_machine": thing is MACHINES,
        "is_makeup": thing is MAKE_UPS,
        "is_person": thing is PEOPLE and row.role != Role.HAND and row.pk != person.pk,
        "is_hand": thing is PEOPLE and row.role == Role.HAND,
        "changes": changes_of_thing(row) if row.pk else [],
        "with_subject": thing in (MACHINES, MAKE_UPS),
        "yard": home_shop(person),
        "today": place.today,
    }
    return render(request, "fleet/thing.html", context)


def _sorted(thing: Thing, form: Any) -> dict[str, list[Any]]:
    """Return the fields as they stand on the page: the usual, the week's, those seldom needed."""
    fields = form.visible_fields()
    folded = [field for field in fields if field.name in thing.folded]
    week = [field for field in fields if field.name.startswith(A_DAY)]
    usual = [field for field in fields if field not in folded and field not in week]
    return {"usual": usual, "week": week, "folded": folded}


def _asked(request: HttpRequest, thing: Thing) -> dict[str, str]:
    """Return what the address fills in: the make-up of a new machine."""
    names = {"makeup", "yard", "shop", "role"} & set(thing.form._meta.fields or ())
    return {name: request.GET[name] for name in names if name in request.GET}


def _kept(request: HttpRequest, thing: Thing, row: Any) -> HttpResponse:
    """Say what was kept, and go on where the person wanted."""
    messages.success(request, f"{capital(str(row))} is kept.")
    if thing is MACHINES:
        road = row.makeup.machine_class.road_vehicle
        if warning := serial_warning(row.serial, road_vehicle=road, year=row.year):
            messages.warning(request, warning)
    if thing is PEOPLE and row.pk == signed_in(request).pk:
        update_session_auth_hash(request, row)  # a new password of one's own signs nobody out
    back = f"?{BACK}={FIRST_STEPS}" if request.GET.get(BACK) == FIRST_STEPS else ""
    match request.POST.get("act"):
        case "another":
            return redirect(reverse(f"set-up-{thing.key}-new") + back)
        case "stay":
            return redirect(reverse(f"set-up-{thing.key}-edit", args=[row.pk]) + back)
    if thing is PEOPLE and not back and has_no_key(row):
        return redirect("hand-keys", row.pk)
    return redirect(FIRST_STEPS if back else f"set-up-{thing.key}")


def _take_out(thing: Thing) -> View:
    @roles()
    @require_POST
    def thing_out(request: HttpRequest, pk: int) -> HttpResponse:
        """Take one out that nothing has come of."""
        row = _row(request, thing, pk)
        name = str(row)
        try:
            take_out(row, thing.touched, by=signed_in(request), now=timezone.now())
        except Refusal as no:
            messages.error(request, no.sentence)
            return redirect(f"set-up-{thing.key}-edit", pk)
        messages.success(request, f"{capital(name)} is taken out.")
        return redirect(f"set-up-{thing.key}")

    return thing_out


def _paths(thing: Thing) -> list[URLPattern]:
    start = f"set-up/{thing.key}/"
    found = [
        path(start, _list(thing), name=f"set-up-{thing.key}"),
        path(f"{start}new/", _new(thing), name=f"set-up-{thing.key}-new"),
        path(f"{start}<int:pk>/", _edit(thing), name=f"set-up-{thing.key}-edit"),
    ]
    if thing.goes:
        found.append(
            path(f"{start}<int:pk>/take-out/", _take_out(thing), name=f"set-up-{thing.key}-out")
        )
    return found


paths = [one for thing in THINGS for one in _paths(thing)]
