"""The calendar: the page that shows a person's addresses, and the feeds behind them."""

from urllib.parse import quote

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import conditional_page, require_GET, require_POST

from fleet.access import roles, signed_in
from fleet.actions.open_calendar import calendar_key, close_calendar, new_calendar_key
from fleet.models import Person, Role, Shop
from fleet.queries.calendar_holders import holder_of, token_of
from fleet.queries.mine import day_of, home_shop, people_of, shops_of
from scheduling.calendar.calendar_days import ShopDayEvent, days_of, mechanic_days, plan_made_at
from scheduling.calendar.feed import Feed, calendar_bytes
from scheduling.calendar.revisions import revisions
from scheduling.queries.calendar_addresses import calendars_of


@roles(Role.MECHANIC)
def calendar_page(request: HttpRequest) -> HttpResponse:
    """Show the addresses that this person may subscribe to."""
    now, person = timezone.now(), signed_in(request)
    key = getattr(person, "calendar_key", None)
    context = {
        "key": key,
        "calendars": calendars_of(person, token_of(key)) if key else [],
        "today": day_of(person, now),
        "place": home_shop(person),
    }
    return render(request, "scheduling/calendar.html", context)


@roles(Role.MECHANIC)
@require_POST
def change_address(request: HttpRequest) -> HttpResponse:
    """Make this person's address, make it anew, or take it away."""
    now, person = timezone.now(), signed_in(request)
    if request.POST.get("do") == "close":
        close_calendar(person)
        messages.success(request, "The address is closed and no longer works.")
    elif request.POST.get("do") == "anew":
        new_calendar_key(person, now=now)
        messages.success(
            request,
            "This is the new address. The old one no longer works: subscribe again on each device.",
        )
    else:
        calendar_key(person, now=now)
    return redirect("calendar")


def _reader(token: str) -> Person:
    """Return whose address was asked for; an address that opens nothing is just not there."""
    person = holder_of(token)
    if person is None or not (person.manages or person.role == Role.MECHANIC):
        raise Http404
    return person


@login_not_required
@require_GET
@conditional_page
def shop_feed(request: HttpRequest, token: str, shop: int) -> HttpResponse:
    """Answer with all mechanics' days of one shop."""
    found = get_object_or_404(shops_of(_reader(token)), pk=shop)
    return _answer(found, mechanic_days(found))


@login_not_required
@require_GET
@conditional_page
def mechanic_feed(request: HttpRequest, token: str, username: str) -> HttpResponse:
    """Answer with one mechanic's days: one's own, or of one's shop for who manages it."""
    reader = _reader(token)
    person = get_object_or_404(people_of(reader), username=username)
    if not (reader.manages or person.pk == reader.pk):
        raise Http404
    return _answer(person, days_of(person))


def _answer(whose: Shop | Person, days: list[ShopDayEvent]) -> HttpResponse:
    shop = whose if isinstance(whose, Shop) else whose.shop
    made_at = plan_made_at(shop) if shop else None
    feed = Feed(
        name=f"Shop days of {whose}",
        page=settings.BASE_URL + reverse("bench") + "?day={day}&mechanic={name}",
        made_at=made_at or timezone.now(),
        with_names=isinstance(whose, Shop),
    )
    answer = HttpResponse(
        calendar_bytes(days, revisions(days), feed), content_type="text/calendar; charset=utf-8"
    )
    answer["Content-Disposition"] = f"inline; filename*=UTF-8''{quote(f'shop-days-{whose}.ics')}"
    answer["Cache-Control"] = "private, max-age=600"
    answer["X-Robots-Tag"] = "noindex"
    return answer


paths = [
    path("calendar/", calendar_page, name="calendar"),
    path("calendar/address/", change_address, name="calendar-address"),
    path("calendar/<str:token>/shop-<int:shop>.ics", shop_feed, name="calendar-shop"),
    path("calendar/<str:token>/of-<str:username>.ics", mechanic_feed, name="calendar-mechanic"),
]
