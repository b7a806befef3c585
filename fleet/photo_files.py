"""Photos as they are sent: looked at, made small, and written again without what they carry along.

A file is taken for what it holds, whatever its name says.  It is decoded and encoded again, so that
neither metadata (Exif: place, device, time) nor anything hidden behind the picture is kept.  Bounds
stand before decoding, since a small file can hold a picture of gigabytes (CWE-409).
"""

import os
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from fleet.refusal import Refusal

MEGABYTE = 1024 * 1024
MOST_BYTES = 12 * MEGABYTE
"""One photo as it is sent; a telephone's has some five."""
MOST_PIXELS = 60_000_000
LONGEST_SIDE = 1600
"""Pixels of the longer side as it is kept: enough to see a scratch."""
QUALITY = 80
KINDS = ("JPEG", "PNG", "WEBP")


def small_photo(sent: bytes) -> tuple[bytes, tuple[int, int]]:
    """Return a photo as a JPEG without metadata, and its width and height in pixels.

    Raises:
        Refusal: it is too large, or no picture of a kind that is taken.

    """
    if len(sent) > MOST_BYTES:
        raise Refusal(f"A photo has at most {MOST_BYTES // MEGABYTE} MB; send a smaller one.")
    try:
        with Image.open(BytesIO(sent), formats=KINDS) as seen:
            if seen.width * seen.height > MOST_PIXELS:
                raise Refusal("That photo has too many pixels; send a smaller one.")
            seen.draft("RGB", (LONGEST_SIDE * 2, LONGEST_SIDE * 2))  # a JPEG is read small at once
            turned = ImageOps.exif_transpose(seen).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise Refusal("That is no photo that can be shown; send a JPEG, PNG or WebP.") from None
    turned.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    bare = Image.new("RGB", turned.size)
    bare.paste(turned)
    file = BytesIO()
    bare.save(file, "JPEG", quality=QUALITY, optimize=True)
    return file.getvalue(), bare.size


def kept_small(folder: Path, name: str, pixels: int) -> bytes:
    """Return a photo that is kept as a JPEG of so many pixels at the longer side.

    Raises:
        OSError: its file is gone.

    """
    file = BytesIO()
    with Image.open(folder / name) as seen:
        seen.thumbnail((pixels, pixels))
        seen.save(file, "JPEG", quality=70)
    return file.getvalue()


def write_photo(folder: Path, name: str, content: bytes) -> None:
    """Write a photo to its place, whole or not at all; only the site may read it."""
    place = folder / name
    place.parent.mkdir(parents=True, exist_ok=True)
    part = place.with_name(f"{place.name}.part")
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(part, place)
