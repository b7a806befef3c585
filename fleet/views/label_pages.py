"""Labels for machines: chosen by yard and class, handed out as a sheet to print."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_safe

from fleet.access import roles, signed_in
from fleet.forms.label_form import LabelForm, usual_paper
from fleet.labels.label_file import MachineLabel, label_file
from fleet.labels.label_papers import PAPERS
from fleet.labels.label_parts import parts_of
from fleet.models import Machine, Role
from fleet.queries.machines_to_label import machines_to_label, tags_to_label


@roles(Role.DESK, Role.MECHANIC)
@require_safe
def labels(request: HttpRequest) -> HttpResponse:
    """Choose which machines get a label, and on what paper."""
    person = signed_in(request)
    form = LabelForm(person, request.GET or None)
    tags = tags_to_label(person, form.choice) if form.is_valid() else None
    context = {
        "form": form,
        "chosen": None if tags is None else len(tags),
        "parts": parts_of(tags, form.begins_at) if tags else [],
        "asked": request.GET.urlencode(),
    }
    return render(request, "fleet/labels.html", context)


@roles(Role.DESK, Role.MECHANIC)
@require_safe
def label_sheet(request: HttpRequest) -> HttpResponse:
    """Hand out the sheets as a file; of very many, the part that is asked for."""
    person = signed_in(request)
    form = LabelForm(person, request.GET or {"paper": usual_paper(person)})
    if not form.is_valid():
        return render(request, "fleet/labels.html", {"form": form}, status=400)
    paper = PAPERS[form.cleaned_data["paper"]]
    parts = parts_of(tags_to_label(person, form.choice), form.begins_at)
    asked = request.GET.get("part", "1")
    part = next((one for one in parts if str(one.number) == asked), None)
    if part is None and (parts or asked != "1"):
        raise Http404("There is no such part.")
    machines = machines_to_label(person, form.choice)
    rows = [_label(machine) for machine in machines[part.labels]] if part else []
    begins_at = form.begins_at if asked == "1" else 0
    answer = HttpResponse(label_file(rows, paper, begins_at), content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="machine-labels.pdf"'
    return answer


def _label(machine: Machine) -> MachineLabel:
    """Return a machine's label; its code leads to its number, which no new tag changes."""
    return MachineLabel(
        tag=machine.tag,
        kind=f"{machine.makeup.maker} {machine.makeup.model}".strip(),
        yard=machine.yard.name,
        address=settings.BASE_URL + reverse("scan", args=[machine.pk]),
    )


paths = [
    path("labels/", labels, name="labels"),
    path("labels/sheet.pdf", label_sheet, name="label-sheet"),
]
