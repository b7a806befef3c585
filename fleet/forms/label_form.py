"""Which machines get a label, on what paper, and where on a sheet that was begun."""

from typing import Any

from django import forms

from fleet.labels.label_papers import PAPERS
from fleet.models import Person, Units
from fleet.queries.machines_to_label import LabelChoice, classes_to_label, unknown_tags
from fleet.queries.mine import yards_of


def usual_paper(person: Person) -> str:
    """Return the paper of a person's country, by the units of their first yard."""
    yards = list(yards_of(person)[:1])
    return "a4-24" if yards and yards[0].units == Units.METRIC else "letter-10"


class LabelForm(forms.Form):
    """Machines by yard, class or tags, and the paper."""

    yard: forms.ModelChoiceField = forms.ModelChoiceField(
        None, label="Yard", required=False, empty_label="all"
    )
    kind: forms.ModelChoiceField = forms.ModelChoiceField(
        None, label="Class", required=False, empty_label="all"
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
        super().__init__(data, initial={"first": 1, "paper": usual_paper(person)})
        self.person = person
        for name, rows in (("yard", yards_of(person)), ("kind", classes_to_label())):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows

    def clean_tags(self) -> list[str]:
        """Return the tags; one that no machine carries is named."""
        tags = [tag.strip() for tag in self.cleaned_data["tags"].split(",") if tag.strip()]
        for tag in unknown_tags(self.person, tags):
            raise forms.ValidationError(f"There is no machine “{tag}”; look at its tag again.")
        return tags

    @property
    def begins_at(self) -> int:
        """The place of the first label, from 0."""
        return (self.cleaned_data["first"] or 1) - 1

    @property
    def choice(self) -> LabelChoice:
        """What was chosen."""
        said = self.cleaned_data
        return LabelChoice(said["yard"], said["kind"], said["tags"])
