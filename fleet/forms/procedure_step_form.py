"""One step of a procedure with all that it can say and show."""

from base64 import b64encode
from dataclasses import replace
from typing import Any

from django import forms

from fleet.actions.keep_photos import Developed, developed
from fleet.actions.keep_steps import OwnPicture
from fleet.makeup_traits import all_codes
from fleet.models import ServiceStep
from fleet.photo_files import MEGABYTE, MOST_BYTES
from fleet.photos_aside import PhotosAside
from fleet.procedures.drawings import drawings
from fleet.procedures.shown_picture import ShownPicture, picture_at
from fleet.refusal import Refusal


class ProcedureStepForm(forms.ModelForm):
    """A step; without a number it comes last."""

    only_on = forms.MultipleChoiceField(
        label="Only on", required=False, choices=list(all_codes()),
        widget=forms.CheckboxSelectMultiple,
        help_text="none ticked: on every build; two of one kind: on either",
    )  # fmt: skip
    drawing = forms.ChoiceField(label="Drawing of the library", required=False)
    photo = forms.FileField(
        label="Your own picture", required=False,
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text="a photo as JPEG, PNG or WebP; it stands in place of the drawing",
    )  # fmt: skip
    shows = forms.CharField(
        label="What your picture shows", required=False, max_length=200,
        help_text="for who cannot see it",
    )  # fmt: skip
    no_photo = forms.BooleanField(label="Take your own picture away", required=False)

    class Meta:
        model = ServiceStep
        fields = [
            "position", "kind", "text", "tool", "required", "caution", "place", "share",
            "first_share", "measures", "figure", "turning_order", "only_on", "source", "drawing",
        ]  # fmt: skip
        labels = {
            "position": "No.", "text": "What to do", "required": "Not finished without it",
            "caution": "Caution", "measures": "What is measured", "figure": "Figure",
            "share": "Share", "place": "Place",
        }  # fmt: skip
        help_texts = {
            "text": "{quantity}, {first}, {rest}, {grade}, {part} and {figure} stand for the"
            " numbers of the make-up"
        }
        widgets = {"text": forms.Textarea(attrs={"rows": 3})}

    USUAL = ("position", "kind", "text", "tool", "required", "caution")
    SHOWN = ("drawing", "photo", "shows", "no_photo")

    def __init__(self, *args: Any, aside: PhotosAside, **more: Any) -> None:
        super().__init__(*args, **more)
        self.aside = aside
        self.sent: Developed = aside.photos() if self.is_bound else {}
        self.fresh = False
        self.fields["position"].required = False
        self.initial["only_on"] = str(self.instance.only_on).split()
        said = [(name, name.replace("-", " ").capitalize()) for name in drawings()]
        self.fields["drawing"].choices = [("", "none"), *said]  # type: ignore[attr-defined]
        own = self.instance.picture
        self.initial["shows"] = own.shows if own else ""
        if not own and not self.sent:
            del self.fields["no_photo"]

    def clean_position(self) -> int:
        """Take none as the last."""
        return int(self.cleaned_data["position"] or 0)

    def clean_only_on(self) -> str:
        """Keep builds as their codes, in the order in which set-up asks."""
        ticked = set(self.cleaned_data["only_on"])
        return " ".join(code for code, _ in all_codes() if code in ticked)

    def clean_photo(self) -> None:
        """Look at what was sent; it takes the place of one that was sent before."""
        file = self.cleaned_data["photo"]
        if not file:
            return
        if file.size > MOST_BYTES:
            most = MOST_BYTES // MEGABYTE
            raise forms.ValidationError(f"A photo has at most {most} MB; send a smaller one.")
        try:
            self.sent, self.fresh = developed([file.read()]), True
        except Refusal as no:
            raise forms.ValidationError(no.sentence) from None

    def clean(self) -> dict[str, Any]:
        """Ask what a picture shows."""
        typed = super().clean() or self.cleaned_data
        if typed.get("no_photo") and not self.fresh:  # one that is sent takes its place
            self.sent, self.instance.picture = {}, None
        elif (self.sent or self.instance.picture) and not typed.get("shows"):
            self.add_error("shows", "Say what your picture shows.")
        return typed

    def own_picture(self) -> OwnPicture | None:
        """Return the picture that is to be kept with the step; None: nothing new."""
        shows = self.cleaned_data["shows"]
        for digest, photo in self.sent.items():
            return OwnPicture(shows, photo, digest)
        return OwnPicture(shows) if self.instance.picture else None

    def as_seen(self) -> ShownPicture | None:
        """Return the picture as the step will show it, kept or not."""
        shows = self.cleaned_data["shows"]
        for photo in self.sent.values():
            inline = f"data:image/jpeg;base64,{b64encode(photo.file).decode()}"
            return ShownPicture(shows, wide=photo.wide, high=photo.high, inline=inline)
        found = picture_at(self.instance)
        return replace(found, shows=shows) if found and self.instance.picture else found

    def usual(self) -> list[Any]:
        """Return the fields that every step has."""
        return [self[name] for name in self.USUAL]

    def folded(self) -> list[Any]:
        """Return those that some kinds have."""
        return [self[name] for name in self.fields if name not in (*self.USUAL, *self.SHOWN)]

    def shown(self) -> list[Any]:
        """Return what it shows."""
        return [self[name] for name in self.SHOWN if name in self.fields]
