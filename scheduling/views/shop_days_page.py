"""Shop days: the plan by day and mechanic; move, pin, publish."""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST

from fleet.access import roles, signed_in
from fleet.models import Role, Shop
from fleet.queries.mine import day_of, shops_of
from fleet.refusal import Refusal
from fleet.saying import counted
from scheduling.actions.replan import free_work, move_work, publish_days
from scheduling.forms.shop_days_forms import MoveForm, PublishForm
from scheduling.models import PlanSearch
from scheduling.queries.mended_plan_ready import mended_plan
from scheduling.queries.plan_needs import plan_needs
from scheduling.queries.shop_days import shop_days
from scheduling.views.bench_page import asked_day
from scheduling.views.progress_page import chosen_shop, to_progress

DAYS_SHOWN = 8
"""A week and the same weekday of the next."""


@roles(Role.MECHANIC)
def plan(request: HttpRequest) -> HttpResponse:
    """Show the plan from a day on: load of each day and mechanic, every job and why then."""
    now, person = timezone.now(), signed_in(request)
    shop, today = chosen_shop(request), day_of(person, now)
    first = asked_day(request, today)
    shown = shop_days(shop, first, DAYS_SHOWN) if shop else None
    context = {
        "shop": shop,
        "shops": shops_of(person),
        "today": today,
        "first": first,
        "last": first + timedelta(days=DAYS_SHOWN - 1),
        "before": first - timedelta(days=7),
        "after": first + timedelta(days=7),
        "shown": shown,
        "undone": mended_plan(shop) if shop else None,
        "needs": plan_needs(shop, today) if shop else None,
        "may_change": person.manages,
        "publish": PublishForm(),
    }
    return render(request, "scheduling/shop_days.html", context)


def _change(
    request: HttpRequest, what: Callable[[Shop, datetime], str | PlanSearch]
) -> HttpResponse:
    """Do one change of the plan, and go back to where it was asked with what came of it.

    Where the shop is planned again first, the way back leads over the page that shows how far.
    """
    shop = chosen_shop(request)
    query = request.GET.urlencode()
    back = f"{request.path.rsplit('/', 2)[0]}/" + (f"?{query}" if query else "")
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
    path("shop-days/move/", move, name="move-work"),
    path("shop-days/free/", free, name="free-work"),
    path("shop-days/publish/", publish, name="publish"),
]
