"""The manager's page: what is overdue, which bookings are at risk, whether the shop has room."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django_tables2 import RequestConfig

from fleet.access import roles, signed_in
from fleet.charts import draw_compliance, draw_weeks
from fleet.queries.open_holds import open_holds
from fleet.queries.unseen_overrides import unseen_overrides
from scheduling.forms.machines_form import ShopChoice
from scheduling.queries.mended_plan_ready import mended_plan
from scheduling.queries.yard_overview import yard_page
from scheduling.tables.overdue_table import OverdueTable

SHOWN = 8
"""Rows of the overdue table a page, and bookings at risk before the rest is folded."""
FOLDED = 40
"""Bookings at risk that are listed at most; how many more there are is said."""


@roles()
def yard(request: HttpRequest) -> HttpResponse:
    """Show one shop's day."""
    choice = ShopChoice(request.GET, person=signed_in(request))
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    page = yard_page(shop, now)
    table = OverdueTable(page.overdue)
    RequestConfig(request, paginate={"per_page": SHOWN}).configure(table)
    context = {
        "choice": choice,
        "held": open_holds(signed_in(request), shop, now),
        "overruled": unseen_overrides(signed_in(request), shop)[:SHOWN],
        "page": page,
        "shop": shop,
        "undone": mended_plan(shop),
        "today": page.today,
        "soonest": page.at_risk[:SHOWN],
        "later": page.at_risk[SHOWN:FOLDED],
        "beyond": len(page.at_risk[FOLDED:]),
        "table": table,
        "weeks": draw_weeks(page.weeks),
        "compliance": draw_compliance(page.months),
    }
    return render(request, "scheduling/yard.html", context)


paths = [path("yard/", yard, name="yard")]
