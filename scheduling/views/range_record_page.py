"""How good the dates are: forecasts of a year beside what came true."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import roles, signed_in
from fleet.charts import draw_coverage
from scheduling.forms.machines_form import ShopChoice
from scheduling.queries.range_record import dates_held


@roles()
def dates_held_page(request: HttpRequest) -> HttpResponse:
    """Show one shop's year."""
    choice = ShopChoice(request.GET, person=signed_in(request))
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    found = dates_held(shop, now)
    context = {
        "choice": choice,
        "shop": shop,
        "today": now.astimezone(shop.zone).date(),
        "held": found,
        "by_month": draw_coverage(
            found.months, "Ranges that held, by month of the forecast", "Month", "held-months"
        ),
        "by_class": draw_coverage(
            found.classes, "Ranges that held, by class of machine", "Class", "held-classes"
        ),
    }
    return render(request, "scheduling/dates_held.html", context)


paths = [path("dates/", dates_held_page, name="dates-held")]
