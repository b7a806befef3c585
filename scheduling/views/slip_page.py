"""The slip of a hand-over, to print or to keep as a file."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import path
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import HandOver, Role, Units
from scheduling.queries.booking_details import handed_to
from scheduling.queries.slip import Slip, slip_of
from scheduling.views.slip_file import slip_file


def _slip(request: HttpRequest, pk: int) -> tuple[HandOver, Slip]:
    row = get_object_or_404(handed_to(signed_in(request)), pk=pk)
    return row, slip_of(row)


@roles(Role.DESK)
@require_safe
def slip(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the slip as a paper."""
    row, said = _slip(request, pk)
    context = {"row": row, "booking": row.booking, "slip": said}
    return render(request, "scheduling/slip.html", context)


@roles(Role.DESK)
@require_safe
def slip_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand the slip out as a file, on the paper of the yard's country."""
    row, said = _slip(request, pk)
    machine = row.booking.machine
    file = slip_file(said, letter=machine.yard.units == Units.US)
    name = f"{row.get_direction_display()}-{row.pk}.pdf"
    answer = HttpResponse(file, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


paths = [
    path("counter/hand-overs/<int:pk>/slip/", slip, name="slip"),
    path("counter/hand-overs/<int:pk>/slip.pdf", slip_pdf, name="slip-pdf"),
]
