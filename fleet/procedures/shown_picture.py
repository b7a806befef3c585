"""The picture that a step shows: the shop's own, else a drawing of the library."""

from dataclasses import asdict, dataclass, replace
from typing import Any

from django.templatetags.static import static
from django.urls import reverse

from fleet.models import ServiceStep
from fleet.procedures.drawings import HIGH, STATIC, WIDE, drawings


@dataclass(frozen=True)
class ShownPicture:
    """One picture.  shows: what is to be seen on it, for who cannot see it.

    drawing: of the library, by name; photo: the number of a shop's own, file: where it lies below
    PHOTOS.  inline: one that is not kept yet, as a data address (RFC 2397).  wide, high: in pixels.
    """

    shows: str
    drawing: str = ""
    photo: int | None = None
    wide: int = WIDE
    high: int = HIGH
    inline: str = ""
    file: str = ""

    @property
    def address(self) -> str:
        """Where it is handed out."""
        if self.photo is not None:
            return reverse("step-picture", args=[self.photo])
        return self.inline or static(f"{STATIC}/{self.drawing}.svg")

    def values(self) -> dict[str, Any]:
        """Return what of it is kept with work that is done."""
        bare = asdict(replace(self, inline="", file=""))
        return {name: value for name, value in bare.items() if value not in ("", None)}


def picture_at(step: ServiceStep) -> ShownPicture | None:
    """Return the picture that a step shows, if any; the shop's own goes before a drawing."""
    own = step.picture
    if own is not None:
        return ShownPicture(own.shows, photo=own.pk, wide=own.wide, high=own.high, file=own.name)
    shows = drawings().get(step.drawing)
    return ShownPicture(shows, drawing=step.drawing) if shows else None
