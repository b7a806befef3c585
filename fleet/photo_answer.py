"""A kept photo as the answer to a request, for who was let see it."""

from http import HTTPStatus
from pathlib import Path

from django.conf import settings
from django.http import HttpResponse

from fleet.models import FindingPhoto, HandOverPhoto, StepPicture, WorkPhoto


def photo_answer(row: HandOverPhoto | FindingPhoto | WorkPhoto | StepPicture) -> HttpResponse:
    """Return the picture; a sentence where its file is gone."""
    try:
        file = (Path(settings.PHOTOS) / row.name).read_bytes()
    except FileNotFoundError:
        gone = "The file of that photo is gone."
        return HttpResponse(gone, status=HTTPStatus.GONE, content_type="text/plain")
    answer = HttpResponse(file, content_type="image/jpeg")
    answer["Content-Disposition"] = f'inline; filename="photo-{row.pk}.jpg"'
    answer["Cache-Control"] = "private, max-age=86400"
    return answer
