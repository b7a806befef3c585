"""Forms with photos in them: how large one may be, looked at before anything of it is read.

A view that takes such a form is exempt from the middleware's check against forged requests, which
would read all of it, and protects itself once the size is known.
"""

from django.http import HttpRequest

from fleet.photo_files import MOST_BYTES
from scheduling.forms.photos_field import MOST_AT_ONCE

MOST_SENT = MOST_AT_ONCE * MOST_BYTES + 200_000
"""Bytes of a form with photos in it."""
THROWN_AWAY = 300 * 1024 * 1024
PIECE = 256 * 1024
TOO_MUCH = "That is too much at once; send fewer or smaller photos."


def too_large(request: HttpRequest) -> bool:
    """Tell whether a form is larger than any may be; its body is thrown away then."""
    said = request.META.get("CONTENT_LENGTH") or "0"
    length = int(said) if said.isdecimal() else 0
    if request.method != "POST" or length <= MOST_SENT:
        return False
    left = min(length, THROWN_AWAY)
    while left > 0 and (piece := request.read(min(PIECE, left))):
        left -= len(piece)
    return True
