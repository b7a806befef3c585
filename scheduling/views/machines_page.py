"""The list of machines: found by class, yard, state or a few letters."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django_tables2 import RequestConfig

from fleet.access import signed_in
from fleet.marks import mark_of
from fleet.queries.mine import day_of, machines_of
from fleet.tongues.phrase_book import spoken
from scheduling.forms.machines_form import MachineFilter
from scheduling.queries.fleet_state import state_counts
from scheduling.queries.machine_list import machines_with_state, narrowed, with_gravity
from scheduling.tables.machines_table import MachineTable


def machines(request: HttpRequest) -> HttpResponse:
    """Show the machines that fit; choices, order and page stand in the address."""
    person = signed_in(request)
    form = MachineFilter(request.GET, person=person)
    found = narrowed(machines_with_state(person), form.narrowing())
    table = MachineTable(with_gravity(found), order_by="next_due")
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    counts = state_counts(machines_of(person))
    context = {
        "form": form,
        "table": table,
        "said": [(code, spoken(f"{n} {mark_of(code).word}")) for code, n in counts.items() if n],
        "working": sum(counts.values()),
        "found": table.paginator.count,
        "narrowed": any(form.cleaned_data.values()),
        "today": day_of(person, timezone.now()),
    }
    return render(request, "scheduling/machines.html", context)


paths = [path("machines/", machines, name="machines")]
