"""Bring in: an owner's spreadsheets, looked at, brought in by one press, undone by another."""

from datetime import datetime

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_GET, require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from fleet.access import roles, signed_in
from fleet.bring_in.import_acts import begin
from fleet.bring_in.import_steps import choose, complete, leave_out
from fleet.bring_in.import_undo import said_undone
from fleet.bring_in.owed_imports import come_soon, look_soon, undo_soon
from fleet.bring_in.refused_file import refused_file
from fleet.bring_in.sample_workbook import sample_workbook
from fleet.bring_in.site_names import SiteNames
from fleet.forms.bring_in_form import KINDS, ORDERS, read_choices, shown_sheets
from fleet.intake.file_limits import MOST_BYTES, refuse_large
from fleet.intake.headers import FileRefused
from fleet.models import Import, Units
from fleet.queries.kept_imports import (
    content_of,
    imports_of,
    refusals_of,
    to_complete_of,
    whole_imports_of,
)
from fleet.queries.mine import day_of, home_shop
from fleet.queries.shop_reach import bound_to
from fleet.refusal import Refusal

A_PAGE = 20
ROOM_FOR_FORM = 200_000
"""Bytes that a form takes beside the file in it."""
THROWN_AWAY = 300 * 1024 * 1024
"""Bytes of a file that is too large which are still read, so that the browser hears the answer."""
PIECE = 256 * 1024
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@csrf_exempt  # the size is looked at before anything of the form is read; then it is protected
def bring_in_page(request: HttpRequest) -> HttpResponse:
    """List what was brought in; take a file."""
    length = request.META.get("CONTENT_LENGTH") or "0"
    if request.method == "POST" and int(length) > MOST_BYTES + ROOM_FOR_FORM:
        left = min(int(length), THROWN_AWAY)
        while left > 0 and (piece := request.read(min(PIECE, left))):
            left -= len(piece)
        return _too_large(request, int(length))
    return _page(request)


@roles()
def _too_large(request: HttpRequest, length: int) -> HttpResponse:
    try:
        refuse_large(length, "The file")
    except FileRefused as refused:
        return _list(request, timezone.now(), str(refused), 413)
    raise AssertionError("it is called for what is too large")


@csrf_protect
@roles()
def _page(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    if request.method != "POST":
        return _list(request, now)
    given = request.FILES.get("file")
    if given is None or given.name is None:
        return _list(request, now, "Choose a file first: XLSX or CSV.")
    try:
        refuse_large(given.size or 0, given.name)
    except FileRefused as refused:
        return _list(request, now, str(refused))
    content = given.read()
    kept = begin(content, given.name, by=signed_in(request), now=now, make_missing=True)
    look_soon(kept, content, now)
    if kept.stage == Import.Stage.FAILED:
        return _list(request, now, kept.said)
    return redirect("bring-in-file", kept.pk)


def _list(request: HttpRequest, now: datetime, wrong: str = "", status: int = 200) -> HttpResponse:
    person = signed_in(request)
    page = Paginator(imports_of(person), A_PAGE).get_page(request.GET.get("page"))
    today = day_of(person, now)
    only = home_shop(person) if bound_to(person) else None
    context = {"page": page, "wrong": wrong, "today": today, "only": only}
    return render(request, "fleet/bring_in.html", context, status=status)


@roles()
@require_safe
def import_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what would come of a file, how far it is, or what came of it."""
    kept = get_object_or_404(whole_imports_of(signed_in(request)), pk=pk)
    moving = kept.stage in (Import.Stage.LOOK, Import.Stage.OWED, Import.Stage.UNDOING)
    if getattr(request, "htmx", False):
        if not moving:
            return HttpResponseClientRedirect(request.path)
        return render(request, "fleet/_bring_in_progress.html", {"kept": kept})
    context = {
        "kept": kept,
        "moving": moving,
        "sheets": shown_sheets(kept),
        "kinds": KINDS,
        "orders": ORDERS,
        "missing": kept.choices.get("missing", []),
        "to_complete": to_complete_of(kept),
        "today": day_of(signed_in(request), timezone.now()),
        "total": _totals(kept),
    }
    return render(request, "fleet/bring_in_file.html", context)


def _totals(kept: Import) -> dict[str, int]:
    names = ("rows", "added", "same", "refused", "skipped")
    return {name: sum(sheet[name] for sheet in kept.sheets) for name in names}


@roles()
@require_POST
def import_come(request: HttpRequest, pk: int) -> HttpResponse:
    """Look again with what was said by hand; where nothing is said anew, bring the file in."""
    kept = get_object_or_404(whole_imports_of(signed_in(request)), pk=pk)
    content, now = content_of(kept), timezone.now()
    if content is None or kept.stage != Import.Stage.READY:
        return redirect("bring-in-file", pk)
    sheets, make_missing = read_choices(kept, request.POST)
    if choose(kept, sheets, make_missing=make_missing) or request.POST.get("act") == "look":
        look_soon(kept, content, now)
        if request.POST.get("act") != "look":
            messages.info(request, "You changed something: look at what would come, then press.")
    else:
        come_soon(kept, content, now)
    return redirect("bring-in-file", pk)


@roles()
@require_POST
def import_leave(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a file out that was only looked at."""
    kept = get_object_or_404(whole_imports_of(signed_in(request)), pk=pk)
    leave_out(kept)
    messages.success(request, f"{kept} was left out; nothing of it came in.")
    return redirect("bring-in")


@roles()
@require_POST
def import_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo an import, or say what stands in the way."""
    kept = get_object_or_404(whole_imports_of(signed_in(request)), pk=pk)
    try:
        undone = undo_soon(kept, by=signed_in(request), now=timezone.now())
        if undone.stage == Import.Stage.UNDONE:
            messages.success(request, said_undone(undone))
    except Refusal as no:
        messages.error(request, no.sentence)
    return redirect("bring-in-file", pk)


@roles()
@require_POST
def import_complete(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that what was made with a file is complete by now."""
    kept = get_object_or_404(whole_imports_of(signed_in(request)), pk=pk)
    complete(kept, by=signed_in(request), now=timezone.now())
    messages.success(request, "Noted: what was made with this file is complete.")
    return redirect("bring-in-file", pk)


@roles()
@require_GET
def import_refused(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the refused rows back as a file, with the reason beside each."""
    kept = get_object_or_404(whole_imports_of(signed_in(request)), pk=pk)
    name, content = refused_file(kept, refusals_of(kept))
    return _download(name, content)


@roles()
@require_GET
def import_sample(request: HttpRequest) -> HttpResponse:
    """Give a workbook to fill in, with the site's own names."""
    person = signed_in(request)
    shop = home_shop(person)
    units = shop.units if shop else Units.US
    content = sample_workbook(SiteNames.load(), units, shop if bound_to(person) else None)
    return _download("bring-in.xlsx", content)


def _download(name: str, content: bytes) -> HttpResponse:
    kind = XLSX if name.endswith(".xlsx") else "text/csv; charset=utf-8"
    return HttpResponse(
        content, content_type=kind, headers={"Content-Disposition": _attached(name)}
    )


def _attached(name: str) -> str:
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_. ") else "_" for c in name)
    return f'attachment; filename="{plain}"'


paths = [
    path("bring-in/", bring_in_page, name="bring-in"),
    path("bring-in/sample/", import_sample, name="bring-in-sample"),
    path("bring-in/<int:pk>/", import_page, name="bring-in-file"),
    path("bring-in/<int:pk>/come/", import_come, name="bring-in-come"),
    path("bring-in/<int:pk>/leave/", import_leave, name="bring-in-leave"),
    path("bring-in/<int:pk>/undo/", import_undo, name="bring-in-undo"),
    path("bring-in/<int:pk>/complete/", import_complete, name="bring-in-complete"),
    path("bring-in/<int:pk>/to-mend/", import_refused, name="bring-in-refused"),
]
