"""How far a search for a plan is: a page that renews itself, or by a link without scripts."""

from datetime import datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRedirect

from fleet.access import roles, signed_in
from fleet.models import Role, Shop
from fleet.queries.mine import day_of, shop_asked
from scheduling.actions.replan import plan_again
from scheduling.models import PlanSearch
from scheduling.queries.search_list import last_night, last_searches, searches_of

PATIENCE = timedelta(seconds=45)
"""Wait for the worker after which a person is told that it may not be running."""

TOLD = "search_told"
"""Where a session keeps the search whose end was told last."""


def to_progress(search: PlanSearch, back: str) -> HttpResponse:
    """Send a person to the progress of a search; back: where it leads when it is over."""
    return redirect(f"{reverse('plan-progress', args=[search.pk])}?{urlencode({'back': back})}")


def chosen_shop(request: HttpRequest) -> Shop | None:
    """Return the shop named in the address if it is this person's, else their first."""
    return shop_asked(signed_in(request), request.GET.get("shop", ""))


@roles(Role.MECHANIC)
@require_GET
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one search as it goes; one that is over leads on by itself."""
    now, person = timezone.now(), signed_in(request)
    search = get_object_or_404(searches_of(person), pk=pk)
    back = _back(request, search)
    if request.htmx and search.ended_at:  # type: ignore[attr-defined]
        if search.said and search.cause == PlanSearch.Cause.HAND and _untold(request, search):
            messages.success(request, search.said)
        return HttpResponseClientRedirect(back)
    part = request.htmx and not request.htmx.boosted  # type: ignore[attr-defined]
    return render(
        request,
        "scheduling/_progress.html" if part else "scheduling/progress.html",
        {**progress_context(search, now), "back": back, "today": day_of(person, now)},
    )


def _untold(request: HttpRequest, search: PlanSearch) -> bool:
    """Tell whether this is the first answer that says so: a slow page may ask twice."""
    if request.session.get(TOLD) == search.pk:
        return False
    request.session[TOLD] = search.pk
    return True


def progress_context(search: PlanSearch, now: datetime) -> dict[str, object]:
    """Return what the display of a search is made of."""
    return {
        "search": search,
        "seconds": max(0, round((now - (search.began_at or search.asked_at)).total_seconds())),
        "unheard": search.began_at is None and now - search.asked_at > PATIENCE,
    }


def _back(request: HttpRequest, search: PlanSearch) -> str:
    """Return where to go when it is over: a page of this site, or the page of what was asked."""
    asked = request.GET.get("back", "")
    if asked and url_has_allowed_host_and_scheme(asked, {request.get_host()}):
        return asked
    if search.trial_id:
        return reverse("trial", args=[search.trial_id])
    return reverse("shop-days")


@roles(Role.MECHANIC)
@require_GET
def searches(request: HttpRequest) -> HttpResponse:
    """List what is being planned in a shop now, and the last searches with what came of them."""
    now, person, shop = timezone.now(), signed_in(request), chosen_shop(request)
    context = {
        "shop": shop,
        "searches": last_searches(shop),
        "night": last_night(shop),
        "today": day_of(person, now),
        "may_change": person.manages,
    }
    return render(request, "scheduling/searches.html", context)


@roles()
@require_POST
def again(request: HttpRequest) -> HttpResponse:
    """Have the shop planned again from the facts as they are now."""
    shop = chosen_shop(request)
    if shop is None:
        messages.error(request, "No shop is set up yet.")
        return redirect("shop-days")
    search = plan_again(shop, by=signed_in(request), now=timezone.now())
    query = request.GET.urlencode()
    return to_progress(search, reverse("shop-days") + (f"?{query}" if query else ""))


paths = [
    path("shop-days/planning/", searches, name="plan-searches"),
    path("shop-days/planning/again/", again, name="plan-again"),
    path("shop-days/planning/<int:pk>/", progress, name="plan-progress"),
]
