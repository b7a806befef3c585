"""The form of a part or a fluid; what lies on the shelf is counted here, never rewritten."""

from typing import Any

from django import forms

from fleet.actions.count_stock import count_shelf
from fleet.forms.written_fields import PlacedForm, VolumeField
from fleet.models import Part, Shop
from fleet.numerals import Commas, parse_number
from fleet.quantities import parse_volume, show_volume
from fleet.queries.set_up_choices import shelves


class PartForm(PlacedForm):
    """A part, and a count of each shop's shelf, if one was made."""

    container_ml = VolumeField(
        required=False, label="A container of it holds",
        help_text="of a fluid, such as 5 L or 1 gal; the pull list then counts whole ones",
    )  # fmt: skip

    class Meta:
        model = Part
        fields = ["number", "name", "kind", "cost", "lead_days", "container_ml"]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.shelves = shelves(self.instance)
        for shop, there in self.shelves:
            self.fields[f"count_{shop.pk}"] = forms.CharField(
                required=False, max_length=40, label=f"Counted on the shelf of {shop}",
                help_text=f"the book says {_said(self.instance, there, shop)}; empty: not counted"
                if self.instance.pk else "pieces, or a volume of a fluid",
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Read the counts."""
        given = super().clean()
        self.counts: list[tuple[Shop, float]] = []
        fluid = given.get("kind") == Part.Kind.FLUID
        if given.get("container_ml") and not fluid:
            self.add_error("container_ml", "Only a fluid comes in containers; leave it empty.")
        for shop, _ in self.shelves:
            if not (typed := given.get(f"count_{shop.pk}")):
                continue
            try:
                count = (
                    parse_volume(typed, shop.units) if fluid else parse_number(typed, Commas.GROUP)
                )
                self.counts.append((shop, count))
            except ValueError as no:
                self.add_error(f"count_{shop.pk}", str(no))
        return given

    def after(self, row: Part) -> None:
        """Keep the counts."""
        for shop, count in self.counts:
            count_shelf(row, shop, count, by=self.place.person, now=self.place.now)


def _said(part: Part, quantity: float, shop: Shop) -> str:
    if part.kind == Part.Kind.FLUID:
        return show_volume(quantity, shop.units)
    return f"{quantity:,g}"
