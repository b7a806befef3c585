"""How good the dates are: forecasts of a year beside what came true."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import roles, signed_in
from fleet.charts import draw_coverage
from scheduling.forms.machines_form import ShopChoice
from scheduling.queries.range_record import range_record


@roles()
def range_record_page(request: HttpRequest) -> HttpResponse:
    """Show one shop's year."""
    choice = ShopChoice(request.GET, person=signed_in(request), looking=True)
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    found = range_record(shop, now)
    context = {
        "choice": choice,
        "shop": shop,
        "today": now.astimezone(shop.zone).date(),
        "record": found,
        "by_month": draw_coverage(
            found.months, "Ranges that were right, by month of the forecast", "Month", "held-months"
        ),
        "by_class": draw_coverage(
            found.classes, "Ranges that were right, by class of machine", "Class", "held-classes"
        ),
    }
    return render(request, "scheduling/range_record.html", context)


paths = [path("dates/", range_record_page, name="range-record")]
