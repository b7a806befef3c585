"""Planned and done: what stood on the days' lists, what was done, and why they differed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone

from fleet.access import roles, signed_in
from fleet.charts import draw_schedule_compliance
from fleet.models import Role
from scheduling.forms.machines_form import ShopChoice
from scheduling.forms.planned_done_form import MonthChoice
from scheduling.forms.yard_filter_form import PastFilter
from scheduling.hindsight.list_entries import WORDS, ListOutcome
from scheduling.hindsight.service_compliance import last_months
from scheduling.queries.planned_done import BESIDE, planned_done


@roles(Role.MECHANIC)
def planned_done_page(request: HttpRequest) -> HttpResponse:
    """Show twelve months, one month's figures, and the entries behind one of them."""
    choice = ShopChoice(request.GET, person=signed_in(request), looking=True)
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    today = now.astimezone(shop.zone).date()
    months = MonthChoice(request.GET, last_months(today))
    narrow = PastFilter(request.GET, shop=shop)
    page = planned_done(shop, now, months.first_day(), narrow.narrowing())
    what = months.what_chosen()
    context = {
        "choice": choice,
        "shop": shop,
        "today": today,
        "months": months,
        "narrow": narrow,
        "page": page,
        "what": what,
        "words": WORDS.get(ListOutcome(what)) if what and what != BESIDE else "",
        "entries": [] if what == BESIDE else page.behind(what),
        "beside": page.beside() if what == BESIDE else None,
        "chart": draw_schedule_compliance(page.bars),
    }
    return render(request, "scheduling/planned_done.html", context)


paths = [path("planned-and-done/", planned_done_page, name="planned-done")]
