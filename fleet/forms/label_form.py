"""Which machines get a label, on what paper, and where on a sheet that was begun."""

from typing import Any

from django import forms
from django.db.models import Q, QuerySet

from fleet.labels.label_papers import PAPERS
from fleet.models import Machine, MachineClass, Person, Units
from fleet.queries.mine import machines_of, yards_of

MOST = 2000
"""Labels of one file: more than anybody sticks in a week."""


class LabelForm(forms.Form):
    """Machines by yard, class or tags, and the paper."""

    yard: forms.ModelChoiceField = forms.ModelChoiceField(
        None, label="Yard", required=False, empty_label="all"
    )
    kind: forms.ModelChoiceField = forms.ModelChoiceField(
        MachineClass.objects.order_by("name"), label="Class", required=False, empty_label="all"
    )
    tags = forms.CharField(
        label="Only these tags", required=False, max_length=2000,
        help_text="Parted by commas. Leave empty for all.",
    )  # fmt: skip
    paper = forms.ChoiceField(
        label="Sheet of labels", choices=[(key, paper.name) for key, paper in PAPERS.items()],
        help_text="Print the first sheet on plain paper and hold it against the labels.",
    )  # fmt: skip
    first = forms.IntegerField(
        label="First free label on the sheet", min_value=1, max_value=60, required=False,
        help_text="1 for a whole sheet; counted row by row.",
        error_messages={"min_value": "Count the labels from 1.",
                        "max_value": "No sheet has more than 60 labels."},
    )  # fmt: skip

    def __init__(self, person: Person, data: Any) -> None:
        yards = yards_of(person)
        first = yards.first()
        paper = "letter-10" if first is None or first.units == Units.US else "a4-24"
        super().__init__(data, initial={"first": 1, "paper": paper})
        self.person = person
        field = self.fields["yard"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = yards

    @property
    def begins_at(self) -> int:
        """The place of the first label, from 0."""
        return (self.cleaned_data["first"] or 1) - 1

    def clean_tags(self) -> list[str]:
        """Return the tags; one that no machine carries is named."""
        tags = [tag.strip() for tag in self.cleaned_data["tags"].split(",") if tag.strip()]
        known = {tag.upper() for tag in machines_of(self.person).values_list("tag", flat=True)}
        for tag in tags if len(tags) <= MOST else []:
            if tag.upper() not in known:
                raise forms.ValidationError(f"There is no machine “{tag}”; look at its tag again.")
        return tags

    def machines(self) -> QuerySet[Machine]:
        """Return the machines that were chosen, by tag."""
        said = self.cleaned_data
        rows = machines_of(self.person).filter(retired_on=None, merged_into=None)
        if said["yard"]:
            rows = rows.filter(yard=said["yard"])
        if said["kind"]:
            rows = rows.filter(makeup__machine_class=said["kind"])
        if said["tags"]:
            some = Q()
            for tag in said["tags"]:
                some |= Q(tag__iexact=tag)
            rows = rows.filter(some)
        return rows.order_by("tag")[:MOST]
