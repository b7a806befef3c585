"""Lists of pages as files: as they stand there, by the same choices in the address."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.table_answer import answered
from scheduling.forms.machines_form import MachineFilter, ShopChoice
from scheduling.forms.planned_done_form import MonthChoice
from scheduling.forms.yard_filter_form import PastFilter, YardFilter
from scheduling.hindsight.service_compliance import last_months
from scheduling.queries.exported_rows import (
    at_risk_table,
    beside_table,
    costs_table,
    machines_table,
    overdue_table,
    planned_done_table,
)
from scheduling.queries.machine_list import as_listed, machines_with_state, narrowed
from scheduling.queries.planned_done import BESIDE, planned_done
from scheduling.queries.yard_overview import yard_costs, yard_page


@roles()
@require_safe
def yard_file(request: HttpRequest, what: str, kind: str) -> HttpResponse:
    """Return one of the Yard's lists."""
    person, now = signed_in(request), timezone.now()
    shop = ShopChoice(request.GET, person=person, looking=True).chosen()
    if shop is None:
        raise Http404
    wanted = YardFilter(request.GET, shop=shop).narrowing()
    if what == "costs":
        return answered(costs_table(yard_costs(shop, now, wanted)), kind)
    page = yard_page(shop, now, wanted)
    if what == "overdue":
        return answered(overdue_table(page.overdue), kind)
    if what == "at-risk":
        return answered(at_risk_table(page.at_risk), kind)
    raise Http404


@require_safe
def machines_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Return the list of machines."""
    person = signed_in(request)
    form = MachineFilter(request.GET, person=person)
    rows = narrowed(machines_with_state(person), form.narrowing())
    return answered(machines_table(as_listed(rows)), kind)


@roles(Role.MECHANIC)
@require_safe
def planned_done_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Return the entries that a month's figures are made of."""
    now = timezone.now()
    shop = ShopChoice(request.GET, person=signed_in(request), looking=True).chosen()
    if shop is None:
        raise Http404
    months = MonthChoice(request.GET, last_months(now.astimezone(shop.zone).date()))
    wanted = PastFilter(request.GET, shop=shop).narrowing()
    page, what = planned_done(shop, now, months.first_day(), wanted), months.what_chosen()
    if what == BESIDE:
        return answered(beside_table(page.beside()), kind)
    return answered(planned_done_table(page.behind(what)), kind)


paths = [
    path("yard/file/<slug:what>.<slug:kind>", yard_file, name="yard-file"),
    path("machines.<slug:kind>", machines_file, name="machines-file"),
    path("planned-and-done.<slug:kind>", planned_done_file, name="planned-done-file"),
]
