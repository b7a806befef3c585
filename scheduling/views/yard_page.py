"""The manager's page: what is overdue, which bookings are at risk, whether the shop has room."""

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.charts import draw_compliance, draw_weeks
from fleet.queries.mine import looks_only
from fleet.queries.open_holds import open_holds
from fleet.queries.unseen_overrides import unseen_overrides
from scheduling.forms.machines_form import ShopChoice
from scheduling.forms.yard_filter_form import YardFilter
from scheduling.queries.given_up import given_up_today
from scheduling.queries.keeps_up import keeps_up, plan_of
from scheduling.queries.late_returns import late_returns
from scheduling.queries.mended_plan_ready import mended_plan
from scheduling.queries.work_weeks import weeks_by_skill
from scheduling.queries.yard_overview import risks_in_groups, yard_costs, yard_page

SHOWN = 8
"""Decisions against a block that are listed at once."""
LINES = 12
"""Overdue machines a page."""
LATER = "later"
"""Word in the address for bookings without a way that do not come with the page."""


@roles()
def yard(request: HttpRequest) -> HttpResponse:
    """Show one shop's day."""
    choice = ShopChoice(request.GET, person=signed_in(request), looking=True)
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    narrow = YardFilter(request.GET, shop=shop)
    wanted = narrow.narrowing()
    page = yard_page(shop, now, wanted)
    context = {
        "choice": choice,
        "held": open_holds(signed_in(request), shop, now),
        "overruled": unseen_overrides(signed_in(request), shop)[:SHOWN],
        "page": page,
        "narrow": narrow,
        "narrowed": wanted.narrows,
        "shop": shop,
        "looks_only": looks_only(signed_in(request), shop),
        "undone": mended_plan(shop),
        "late": late_returns(now, [shop]),
        "today": page.today,
        "overdue": Paginator(page.overdue, LINES).get_page(request.GET.get("overdue")),
        "compliance": draw_compliance(page.months),
    }
    return render(request, "scheduling/yard.html", context)


@roles()
@require_safe
def weeks(request: HttpRequest) -> HttpResponse:
    """Show the hours of twelve weeks, as a part of the Yard or on a page of their own."""
    choice = ShopChoice(request.GET, person=signed_in(request), looking=True)
    shop = choice.chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    now = timezone.now()
    today = now.astimezone(shop.zone).date()
    plan = plan_of(shop)
    found = weeks_by_skill(shop, today, now=now)
    context = {
        "choice": choice,
        "shop": shop,
        "looks_only": looks_only(signed_in(request), shop),
        "today": today,
        "weeks": draw_weeks(found.weeks),
        "skills": found.skills,
        "keeps_up": keeps_up(plan, given_up_today(plan, today)),
    }
    part = bool(request.htmx)  # type: ignore[attr-defined]
    return render(request, f"scheduling/{'_work_weeks' if part else 'work_weeks'}.html", context)


@roles()
@require_safe
def risk_group(request: HttpRequest, name: str) -> HttpResponse:
    """Show bookings at risk: those planned in time, those out now, or the last without a way."""
    person, now = signed_in(request), timezone.now()
    shop = ShopChoice(request.GET, person=person, looking=True).chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    today = now.astimezone(shop.zone).date()
    wanted = YardFilter(request.GET, shop=shop).narrowing()
    found = risks_in_groups(shop, today, wanted)
    groups = {key: rest for key, *rest in found.others}
    groups[LATER] = ["more with no way yet", found.last]
    if name not in groups:
        raise Http404
    label, entries = groups[name]
    context = {"shop": shop, "today": today, "label": label, "entries": entries,
               "ways": name == LATER, "looks_only": looks_only(person, shop)}  # fmt: skip
    part = bool(request.htmx)  # type: ignore[attr-defined]
    return render(request, f"scheduling/{'_risk_lines' if part else 'risk_lines'}.html", context)


@roles()
@require_safe
def year_costs(request: HttpRequest) -> HttpResponse:
    """Show the cost an hour over a year, as a part of the Yard or on a page of their own."""
    person, now = signed_in(request), timezone.now()
    shop = ShopChoice(request.GET, person=person, looking=True).chosen()
    if shop is None:
        return render(request, "scheduling/yard_empty.html")
    wanted = YardFilter(request.GET, shop=shop).narrowing()
    context = {"shop": shop, "costs": yard_costs(shop, now, wanted), "service": wanted.service}
    part = bool(request.htmx)  # type: ignore[attr-defined]
    return render(request, f"scheduling/{'_costs' if part else 'costs'}.html", context)


paths = [
    path("yard/", yard, name="yard"),
    path("yard/costs/", year_costs, name="year-costs"),
    path("yard/at-risk/<slug:name>/", risk_group, name="risk-group"),
    path("yard/weeks/", weeks, name="work-weeks"),
]
