"""Photos of a form that was refused, kept aside until it is sent again: nobody chooses them twice.

They lie below `settings.PHOTOS` under a name that follows from who sent them and the key of their
form, so that nobody else's form finds them, and for a day at most.
"""

import re
import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

from django.conf import settings

from fleet.actions.keep_photos import Developed, SmallPhoto
from fleet.models import Person
from fleet.photo_files import write_photo

ASIDE = "aside"
KEPT = timedelta(days=1)
NAME = re.compile(r"\A([0-9a-f]{64})-(\d{1,5})x(\d{1,5})\.jpg\Z")
"""Digest of what was sent, width and height."""


@dataclass(frozen=True)
class PhotosAside:
    """The photos of one form."""

    folder: Path

    @classmethod
    def of(cls, person: Person, *keys: str) -> "PhotosAside":
        """Return those of a form of a person; keys: of the form, and of what it is about."""
        said = "\n".join([str(person.pk), *keys])
        return cls(Path(settings.PHOTOS) / ASIDE / sha256(said.encode()).hexdigest())

    def photos(self) -> Developed:
        """Return what is kept."""
        found = {}
        for place in sorted(self.folder.glob("*.jpg")):
            if parts := NAME.match(place.name):
                digest, wide, high = parts.groups()
                found[digest] = SmallPhoto(place.read_bytes(), int(wide), int(high))
        return found

    def put(self, made: Developed, now: datetime) -> None:
        """Keep photos, and let go of all that were kept for forms of former days."""
        forget_aside(now)
        for digest, one in made.items():
            name = f"{digest}-{one.wide}x{one.high}.jpg"
            if not (self.folder / name).exists():
                write_photo(self.folder, name, one.file)

    def let_go(self) -> None:
        """Keep them no longer: they are where they belong, or nobody wants them."""
        shutil.rmtree(self.folder, ignore_errors=True)


def forget_aside(now: datetime) -> None:
    """Let go of what nobody sent again within a day."""
    for folder in (Path(settings.PHOTOS) / ASIDE).glob("*"):
        try:
            old = folder.stat().st_mtime < (now - KEPT).timestamp()
        except FileNotFoundError:  # sent again at this moment
            continue
        if old:
            shutil.rmtree(folder, ignore_errors=True)
