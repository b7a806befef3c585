"""A table that is answered as a file to keep."""

from django.http import Http404, HttpResponse

from fleet.table_files import TYPES, TableOfCells, as_file


def answered(table: TableOfCells, kind: str) -> HttpResponse:
    """Return a table as a file to keep; a kind that there is not has no page."""
    if kind not in TYPES:
        raise Http404
    answer = HttpResponse(as_file(table, kind), content_type=TYPES[kind])
    name = table.name.replace(" ", "-")
    answer["Content-Disposition"] = f'attachment; filename="{name}.{kind}"'
    return answer
