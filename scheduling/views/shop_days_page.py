"""Shop days: the week as a grid of mechanics by days, and as lists; move, pin, publish."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from fleet.access import roles, signed_in
from fleet.models import Role, Shop
from fleet.queries.mine import day_of, looks_only, shop_looked_at, shops_in_sight
from fleet.refusal import Refusal
from fleet.saying import counted
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.replan import free_work, move_work, publish_days
from scheduling.actions.take_ways_out import take_overtime_back
from scheduling.forms.shop_days_forms import MoveForm, OvertimeBackForm, PublishForm, WantedForm
from scheduling.models import PlanSearch
from scheduling.queries.given_up import given_up_today
from scheduling.queries.grid_jobs import grid_job
from scheduling.queries.keeps_up import keeps_up
from scheduling.queries.mended_plan_ready import mended_plan
from scheduling.queries.plan_needs import plan_needs
from scheduling.queries.shop_days import beyond_plan, shop_days, shown_jobs, takers_of
from scheduling.views.bench_page import asked_day
from scheduling.views.progress_page import chosen_shop, to_progress

DAYS_SHOWN = 7
"""A week."""
VIEWS = {"week": "Week", "month": "Month", "beyond": "Left out"}
"""What is shown: the grid of a week, four weeks as a list, what has no day as a list."""
MONTH_DAYS = 28


@roles(Role.MECHANIC)
def plan(request: HttpRequest) -> HttpResponse:
    """Show the plan from a day on: a week as a grid of mechanics by days, or as lists."""
    now, person = timezone.now(), signed_in(request)
    shop, today = shop_looked_at(person, request.GET.get("shop", "")), day_of(person, now)
    only_looks = looks_only(person, shop)
    first = asked_day(request, today)
    look = request.GET.get("view", "")
    look = look if look in VIEWS else "week"
    days = MONTH_DAYS if look == "month" else DAYS_SHOWN
    want = WantedForm(shop, request.GET) if shop else None
    shown = shop_days(shop, first, days, want.wanted()) if shop and want else None
    context = {
        "shop": shop,
        "shops": shops_in_sight(person),
        "today": today,
        "first": first,
        "last": first + timedelta(days=days - 1),
        "before": first - timedelta(days=7),
        "after": first + timedelta(days=7),
        "shown": shown,
        "beyond": (beyond_plan(shop, want.wanted()) if shop and want and look == "beyond" else []),
        "keeps_up": keeps_up(shown.plan, given_up_today(shown.plan, today)) if shown else "",
        "want": want,
        "view": look,
        "views": VIEWS,
        "undone": mended_plan(shop) if shop else None,
        "needs": plan_needs(shop, today) if shop else None,
        "looks_only": only_looks,
        "may_change": person.manages and not only_looks,
        "publish": PublishForm(),
    }
    return render(request, "scheduling/shop_days.html", context)


@roles(Role.MECHANIC)
@require_safe
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one job as its line opens: why it stands there, and its moves; a page without script."""
    now, person = timezone.now(), signed_in(request)
    found = grid_job(pk, person)
    if found is None:
        raise Http404
    shop = found.plan.shop
    today = now.astimezone(shop.zone).date()
    (row,) = shown_jobs(shop, [found])
    day = asked_day(request, found.day) if "on" in request.GET else found.day
    context: dict[str, Any] = {
        "row": replace(row, day=day if day in found.minutes_by_day() else found.day),
        "shop": shop,
        "today": today,
        "takers": takers_of(shop, today),
        "looks_only": looks_only(person, shop),
        "may_change": person.manages and not looks_only(person, shop),
    }
    htmx: Any = request.htmx  # type: ignore[attr-defined]
    part = bool(htmx)
    _page, _, query = (htmx.current_url or "").partition("#")[0].partition("?")
    asked = query if part else f"day={found.day}"
    context["back"] = f"?{asked}" if asked else ""
    name = "_shop_day_job" if part else "shop_day_job"
    return render(request, f"scheduling/{name}.html", context)


def _change(
    request: HttpRequest, what: Callable[[Shop, datetime], str | PlanSearch]
) -> HttpResponse:
    """Do one change of the plan, and go back to where it was asked with what came of it.

    Where the shop is planned again first, the way back leads over the page that shows how far.
    """
    shop = chosen_shop(request)
    query = request.GET.urlencode()
    back = f"{reverse('shop-days')}" + (f"?{query}" if query else "")
    try:
        done = what(shop, timezone.now()) if shop is not None else ""
    except Refusal as refused:
        messages.error(request, refused.sentence)
        return redirect(back)
    if isinstance(done, PlanSearch):
        return to_progress(done, back)
    messages.success(request, done)
    return redirect(back)


@roles()
@require_POST
def move(request: HttpRequest) -> HttpResponse:
    """Pin work of one machine to a day, and plan the rest around it."""

    def do(shop: Shop, now: datetime) -> PlanSearch:
        form = MoveForm(shop, now.astimezone(shop.zone).date(), request.POST)
        if not form.is_valid():
            raise Refusal(" ".join(str(error[0]) for error in form.errors.values()))
        return move_work(shop, form.move(), by=signed_in(request), now=now)

    return _change(request, do)


@roles()
@require_POST
def free(request: HttpRequest) -> HttpResponse:
    """Lift a pin, and plan again."""

    def do(shop: Shop, now: datetime) -> PlanSearch:
        keys = request.POST.getlist("work_key")
        return free_work(shop, *keys, by=signed_in(request), now=now)

    return _change(request, do)


@roles()
@require_POST
def no_overtime(request: HttpRequest) -> HttpResponse:
    """Take back the overtime that was allowed on a day, and plan again."""

    def do(shop: Shop, now: datetime) -> PlanSearch:
        form = OvertimeBackForm(request.POST)
        if not form.is_valid():
            raise Refusal(" ".join(str(error[0]) for error in form.errors.values()))
        return take_overtime_back(shop, form.cleaned_data["day"], Decision(signed_in(request), now))

    return _change(request, do)


@roles()
@require_POST
def publish(request: HttpRequest) -> HttpResponse:
    """Publish the first days of the plan to the mechanics."""

    def do(shop: Shop, now: datetime) -> str:
        form = PublishForm(request.POST)
        if not form.is_valid():
            raise Refusal(str(next(iter(form.errors.values()))[0]))
        today = now.astimezone(shop.zone).date()
        release = publish_days(
            shop, today, form.cleaned_data["days"], by=signed_in(request), now=now
        )
        return (
            f"Published to {release.last_day:%a %-d %b}:"
            f" {counted(len(release.jobs), 'piece')} of work."
        )

    return _change(request, do)


paths = [
    path("shop-days/", plan, name="shop-days"),
    path("shop-days/job/<int:pk>/", job, name="shop-day-job"),
    path("shop-days/move/", move, name="move-work"),
    path("shop-days/free/", free, name="free-work"),
    path("shop-days/no-overtime/", no_overtime, name="overtime-back"),
    path("shop-days/publish/", publish, name="publish"),
]
