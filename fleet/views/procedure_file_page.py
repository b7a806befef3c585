"""Procedures as files: of one service, and of all of them."""

from datetime import UTC, tzinfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.queries.makeup_intervals import site_units
from fleet.queries.mine import home_shop
from fleet.queries.procedure_rows import procedure_table, procedures_table
from fleet.queries.sought_things import sought_in
from fleet.queries.thing_lists import services
from fleet.table_answer import answered

SOUGHT_IN = ("name", "code")


@roles(Role.MECHANIC)
@require_safe
def procedure_file(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Return the steps of one service; read on one make-up alone where that is chosen."""
    service = get_object_or_404(services(), pk=pk)
    units, zone = _read_in(request)
    makeup = request.GET.get("makeup", "")
    return answered(procedure_table(service, units, zone, makeup), kind)


@roles()
@require_safe
def procedures_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Return the steps of all services, or of those that are sought."""
    found = sought_in(services(), SOUGHT_IN, request.GET.get("q", "").strip()[:80])
    return answered(procedures_table("procedures", found, *_read_in(request)), kind)


def _read_in(request: HttpRequest) -> tuple[str, tzinfo]:
    """Return the units and the time zone of who asks."""
    person = signed_in(request)
    shop = home_shop(person)
    return site_units(person), shop.zone if shop else UTC


paths = [
    path("set-up/procedures/steps.<slug:kind>", procedures_file, name="procedures-file"),
    path("set-up/procedures/<int:pk>/steps.<slug:kind>", procedure_file, name="procedure-file"),
]
