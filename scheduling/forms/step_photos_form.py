"""Photos of one step, sent from the sheet."""

from django import forms

from scheduling.forms.photos_field import PhotosField


class StepPhotosForm(forms.Form):
    """Of which service and step, and the pictures."""

    service = forms.IntegerField(min_value=1, max_value=2**31)
    step = forms.SlugField(max_length=60)
    photos = PhotosField()
