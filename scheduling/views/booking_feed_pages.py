"""Calendars of bookings: the page of their secret addresses, and the feeds behind them."""

from datetime import UTC
from urllib.parse import quote

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import (
    conditional_page,
    require_GET,
    require_http_methods,
    require_POST,
)

from fleet.access import roles, signed_in
from fleet.actions.open_feeds import close_feed, open_feed
from fleet.models import Role, Shop
from fleet.queries.feed_holders import feed_of, feed_token, feeds_of
from fleet.queries.mine import day_of, home_shop
from scheduling.calendar.booking_feed import BookingEvent, bookings_as_calendar
from scheduling.forms.feed_form import FeedForm
from scheduling.queries.feed_bookings import feed_bookings


@roles(Role.DESK)
@require_http_methods(["GET", "HEAD", "POST"])
def booking_feeds(request: HttpRequest) -> HttpResponse:
    """Show the addresses that stand, and make one."""
    person, now = signed_in(request), timezone.now()
    form = FeedForm(person, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        made = open_feed(form.whose(), by=person, now=now)
        messages.success(request, f"The address for {made.of} is below.")
        return redirect("booking-feeds")
    feeds = [(key, _address(feed_token(key))) for key in feeds_of(person)]
    context = {
        "form": form, "feeds": feeds, "today": day_of(person, now),
        "place": home_shop(person) or Shop(time_zone="UTC"),
    }  # fmt: skip
    return render(request, "scheduling/booking_feeds.html", context)


def _address(token: str) -> str:
    return settings.BASE_URL + reverse("booking-feed", args=[token])


@roles(Role.DESK)
@require_POST
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Let an address open nothing any more."""
    person = signed_in(request)
    key = get_object_or_404(feeds_of(person), pk=pk)
    close_feed(key, by=person, now=timezone.now())
    messages.success(request, f"The address for {key.of} is closed and no longer works.")
    return redirect("booking-feeds")


@login_not_required
@require_GET
@conditional_page
def booking_feed(request: HttpRequest, token: str) -> HttpResponse:
    """Answer with the bookings; an address that opens nothing is just not there."""
    key = feed_of(token)
    if key is None:
        raise Http404
    today = timezone.now().astimezone(key.shop.zone if key.shop else UTC).date()
    events = [
        BookingEvent(
            one.booking,
            one.revised_at,
            settings.BASE_URL + reverse("booking", args=[one.booking.pk]),
            one.is_out,
            one.is_back,
        )
        for one in feed_bookings(key, today)
    ]
    name = f"Bookings of {key.of}"
    answer = HttpResponse(
        bookings_as_calendar(name, events), content_type="text/calendar; charset=utf-8"
    )
    answer["Content-Disposition"] = f"inline; filename*=UTF-8''{quote(f'{name}.ics')}"
    answer["Cache-Control"] = "private, max-age=600"
    answer["X-Robots-Tag"] = "noindex"
    return answer


paths = [
    path("counter/feeds/", booking_feeds, name="booking-feeds"),
    path("counter/feeds/<int:pk>/close/", close, name="booking-feed-close"),
    path("counter/feeds/<str:token>.ics", booking_feed, name="booking-feed"),
]
