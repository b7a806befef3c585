"""A machine's service book as a file."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.models import Role
from fleet.queries.book_table import book_table
from fleet.queries.mine import machine_of
from fleet.table_answer import answered


@roles(Role.MECHANIC, Role.DESK)
@require_safe
def book_file(request: HttpRequest, tag: str, kind: str) -> HttpResponse:
    """Return the whole book of a machine, with the answers at its steps."""
    found = machine_of(signed_in(request), tag)
    if found is None:
        raise Http404(f"There is no machine {tag} in your yards.")
    return answered(book_table(found), kind)


paths = [path("machines/<path:tag>/book.<slug:kind>", book_file, name="book-file")]
