"""Which version of a step a row of a file tells, and what a step said before."""

import re
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from fleet.makeup_traits import open_question
from fleet.models import Person, Service, ServiceStep
from fleet.procedures.shown_picture import ShownPicture, picture_at
from fleet.procedures.step_versions import LooseChange, StepVersion
from fleet.table_files import Cell

BEFORE, GONE, LOGGED = "before", "taken out", "as the change log tells it"
PICTURE = re.compile(r"no\. (\d+): (.*)", re.DOTALL)
"""A shop's own picture as the change log names it."""
KINDS = {str(one.label): str(one.value) for one in ServiceStep.Kind}
SAME = ("text", "tool", "required", "only on", "caution", "place", "measures", "figure",
        "in what order", "source")  # fmt: skip
"""Columns that the change log has under the same name."""
Told = dict[str, Any]
"""Title of a column -> its cell."""


@dataclass(frozen=True)
class FilePlace:
    """What all rows of a file have in common.

    units: in which quantities are shown.  zone: of the times.  pictures: number -> its file.
    """

    units: str
    zone: tzinfo
    pictures: dict[int, str]


def picture_cells(picture: ShownPicture | None) -> Told:
    """Tell the file of a picture, below PHOTOS or among the drawings, and what it shows."""
    if picture is None:
        return {}
    file = picture.file or f"{picture.drawing}.svg"
    return {"picture file": file, "what the picture shows": picture.shows}


def builds_cell(only_on: str) -> str:
    """Say the builds; one that is no longer known is told by its code alone."""
    try:
        return open_question(only_on, {})
    except ValueError:
        return ""


def earlier_cells(version: StepVersion, row: str, place: FilePlace) -> Told:
    """Tell what a step said before, as far as the change log has it."""
    old = version.values
    named = PICTURE.fullmatch(old.get("picture", ""))
    drawing = picture_at(ServiceStep(drawing=old.get("drawing", "")))
    return {
        "row": row,
        "order": _number(old.get("position", "")),
        "kind": KINDS.get(old.get("kind", ""), old.get("kind", "")),
        "only on, in words": builds_cell(old.get("only on", "")),
        "share": _number(old.get("share", "")),
        "share filled first": _number(old.get("share filled first", "")),
        **{name: old.get(name, "") for name in SAME},
        **picture_cells(drawing),
        **({"picture file": place.pictures.get(int(named[1]), ""),
            "what the picture shows": named[2]} if named else {}),
    }  # fmt: skip


def _number(text: str) -> Cell:
    """Return a number that the log has as text; what is none stays as it is."""
    try:
        return float(text) if text else None
    except ValueError:
        return text


def version_cells(version: StepVersion, service: Service, key: str, place: FilePlace) -> Told:
    """Tell which version it is, who made it and when; taken from the library where that began it.

    A name that the library gave a step tells that it came with the copy.
    """
    told: Told = {"version": version.number}
    copy = getattr(service, "library_copy", None)
    if version.made is not None:
        told |= {"made": _at(version.made.at, place), "made by": _by(version.made.by)}
    elif version.number == 1 and copy and key in {one["key"] for one in copy.body.get("steps", ())}:
        told |= {"made": _at(copy.taken_at, place), "made by": _by(copy.taken_by)}
    if version.ended is not None:
        told |= {"until": _at(version.ended.at, place), "until by": _by(version.ended.by),
                 "in the change log": version.ended.act}  # fmt: skip
    return told


def loose_cells(loose: LooseChange, place: FilePlace) -> Told:
    """Tell a change that could be gone back at no step, as the log has it."""
    change = loose.change
    said = f"{change.act}; {loose.name}: {loose.old or 'none'} → {loose.new or 'none'}"
    return {"row": LOGGED, "until": _at(change.at, place), "until by": _by(change.by),
            "in the change log": said}  # fmt: skip


def _at(moment: datetime, place: FilePlace) -> str:
    return str(moment.astimezone(place.zone).isoformat(timespec="minutes"))


def _by(person: Person | None) -> str:
    return str(person) if person else "the program"
