"""Intervals of a make-up in trade words; what they would mean is shown before they are saved."""

from hashlib import sha256

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from fleet.access import roles, signed_in
from fleet.actions.set_intervals import (
    copy_intervals,
    set_for_class,
    set_interval,
    take_out_interval,
)
from fleet.forms.interval_form import IntervalForm
from fleet.models import Interval, MakeUp
from fleet.queries.makeup_intervals import (
    interval_rows,
    intervals_of,
    makeup_asked,
    makeups,
    makeups_counted,
    meter_kinds,
    others_to_copy,
    own_intervals,
    said_interval,
    said_intervals,
    site_units,
)
from fleet.queries.mine import day_of, machines_of
from fleet.saying import counted
from scheduling.queries.interval_preview import preview


@roles()
def all_intervals(request: HttpRequest) -> HttpResponse:
    """List the make-ups, and how many services each has."""
    return render(request, "scheduling/all_intervals.html", {"makeups": makeups_counted()})


@roles()
def intervals(request: HttpRequest, pk: int) -> HttpResponse:
    """Show all services of a make-up on one page."""
    makeup = get_object_or_404(makeups(), pk=pk)
    context = {
        "makeup": makeup,
        "intervals": said_intervals(makeup, site_units(signed_in(request))),
        "own": own_intervals(makeup),
        "others": others_to_copy(makeup),
    }
    return render(request, "scheduling/intervals.html", context)


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def interval_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Set an interval of a make-up, or of all of its class."""
    makeup = get_object_or_404(makeups(), pk=pk)
    return _one(request, Interval(makeup=makeup))


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def interval(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an interval of a make-up, or of one machine."""
    return _one(request, get_object_or_404(interval_rows(), pk=pk))


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def machine_interval_new(request: HttpRequest, tag: str) -> HttpResponse:
    """Set an interval of one machine alone; it takes the place of its make-up's."""
    machine = get_object_or_404(machines_of(signed_in(request)), tag=tag)
    return _one(request, Interval(machine=machine))


def _one(request: HttpRequest, row: Interval) -> HttpResponse:
    """Show the form; look at what it means first, and save it once that has been seen."""
    person, now = signed_in(request), timezone.now()
    makeup, units = _makeup(row), site_units(person)
    form = IntervalForm(request.POST or None, kinds=meter_kinds(makeup), units=units, instance=row)
    context: dict[str, object] = {
        "form": form, "makeup": makeup, "row": row, "of": row.machine or makeup,
        "back": _back(row),
    }  # fmt: skip
    if request.method == "POST" and form.is_valid():
        meant, seen = form.row(), _digest(request.POST)
        if request.POST.get("act") == "save" and request.POST.get("seen") == seen:
            if form.cleaned_data.get("whole_class"):
                many = counted(
                    set_for_class(meant, by=person, now=now, covers=form.ticked), "make-up"
                )
                messages.success(request, f"{meant.service} is set for {many}.")
            else:
                set_interval(meant, by=person, now=now, covers=form.ticked)
                messages.success(request, f"{meant.service} is set.")
            return redirect(_back(row))
        context |= {
            "said": said_interval(meant, units, form.ticked or ()),
            "seen": seen,
            "previews": preview(makeup, [meant], now, row.machine),
            "today": day_of(person, now),
        }
    return render(request, "scheduling/interval.html", context)


def _makeup(row: Interval) -> MakeUp:
    """Return the make-up of an interval, or of its machine."""
    makeup = row.machine.makeup if row.machine else row.makeup
    assert makeup is not None  # the database holds that it is of one or the other
    return makeup


def _back(row: Interval) -> str:
    """Return the page from which an interval is come to."""
    if row.machine:
        return f"{row.machine.get_absolute_url()}#services"
    return reverse("intervals", args=[_makeup(row).pk])


def _digest(posted: QueryDict) -> str:
    """Return what tells two fillings of the form apart."""
    typed = sorted(
        (name, value.strip())
        for name, values in posted.lists()
        for value in values
        if name not in ("csrfmiddlewaretoken", "act", "seen")
    )
    return sha256(repr(typed).encode()).hexdigest()[:20]


@roles()
@require_POST
def interval_take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an interval out: its service no longer falls due by itself."""
    row = get_object_or_404(interval_rows(), pk=pk)
    service, back = row.service, _back(row)
    take_out_interval(row, by=signed_in(request), now=timezone.now())
    if row.machine:
        said = f"{row.machine.tag} follows its make-up again for {service}; the book stays."
    else:
        said = f"{service} no longer falls due on {row.makeup}; the book stays."
    messages.success(request, said)
    return redirect(back)


@roles()
@require_http_methods(["GET", "HEAD", "POST"])
def intervals_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy intervals from another make-up, seen first on two machines of this one."""
    person, now = signed_in(request), timezone.now()
    makeup = get_object_or_404(makeups(), pk=pk)
    asked = request.POST.get("from") or request.GET.get("from", "")
    source = makeup_asked(asked)
    if source is None:
        messages.error(request, "Choose the make-up to copy from.")
        return redirect("intervals", pk)
    there = {row.service_id for row in intervals_of(makeup)}
    rows = [row for row in intervals_of(source) if row.service_id not in there]
    if request.method == "POST":
        chosen = set(request.POST.getlist("interval"))
        rows = [row for row in rows if str(row.pk) in chosen]
        done = copy_intervals(rows, makeup, by=person, now=now)
        messages.success(request, f"{counted(len(done), 'interval')} copied from {source}.")
        return redirect("intervals", pk)
    units = site_units(person)
    context = {
        "makeup": makeup,
        "source": source,
        "said": [said_interval(row, units) for row in rows],
        "previews": preview(makeup, rows, now) if rows else [],
        "today": day_of(person, now),
    }
    return render(request, "scheduling/intervals_copy.html", context)


paths = [
    path("set-up/intervals/", all_intervals, name="all-intervals"),
    path("set-up/intervals/<int:pk>/", interval, name="interval"),
    path("set-up/intervals/<int:pk>/take-out/", interval_take_out, name="interval-take-out"),
    path("machines/<str:tag>/intervals/new/", machine_interval_new, name="machine-interval-new"),
    path("set-up/make-ups/<int:pk>/intervals/", intervals, name="intervals"),
    path("set-up/make-ups/<int:pk>/intervals/new/", interval_new, name="interval-new"),
    path("set-up/make-ups/<int:pk>/intervals/copy/", intervals_copy, name="intervals-copy"),
]
