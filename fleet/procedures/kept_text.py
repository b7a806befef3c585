"""The text by which work was done, kept word for word however the procedure is said later.

The text travels with the sheet, signed, and comes back with what was finished: what counts is what
the mechanic read when the sheet was opened, perhaps hours before and without a signal since.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.core import signing

from fleet.models import DoneText
from fleet.procedures.filled_step import FilledStep
from fleet.procedures.library import digest_of
from fleet.procedures.shown_picture import ShownPicture
from fleet.tongues.phrase_book import spoken

SALT = "fleet.procedures.kept_text"


def values_of_step(step: FilledStep) -> dict[str, Any]:
    """Return what of a step is kept, as plain values; what it does not have is left out.

    Its words are those that were read, in the language of the page.
    """
    values = {
        "key": step.key,
        "kind": step.kind,
        "text": spoken(step.text),
        "caution": spoken(step.caution) if step.caution else "",
        "tool": spoken(step.tool),
        "turning_order": spoken(step.turning_order),
        "measures": spoken(step.measures),
        "unit": step.unit,
        "limit": step.limit_id,
        "fills_ml": step.quantity_ml,
        "low": step.limit_low,
        "high": step.limit_high,
        "source": step.source,
        "picture": _picture(step.picture),
    }
    return {name: value for name, value in values.items() if value not in ("", None)}


def _picture(picture: ShownPicture | None) -> dict[str, Any] | None:
    return replace(picture, shows=spoken(picture.shows)).values() if picture else None


def picture_of(values: Mapping[str, Any]) -> ShownPicture | None:
    """Return the picture that a kept step showed, if any."""
    told = values.get("picture")
    return ShownPicture(**told) if told else None


def text_of(steps: Iterable[FilledStep]) -> DoneText | None:
    """Return steps as the text to be kept, not saved; None of no steps."""
    values = [values_of_step(step) for step in steps]
    return DoneText(digest=digest_of(values), steps=values) if values else None


def seal(steps: Iterable[FilledStep]) -> str:
    """Return steps as one word that a form can carry, and nobody can change; "" of none."""
    text = text_of(steps)
    return signing.dumps(text.steps, salt=SALT, compress=True) if text else ""


def unseal(word: str) -> DoneText | None:
    """Return the text that a form brought back, not saved; None where it brought none."""
    try:
        values = signing.loads(word, salt=SALT) if word else None
    except signing.BadSignature:
        return None
    return DoneText(digest=digest_of(values), steps=values) if values else None


def keep_texts(texts: Iterable[DoneText | None]) -> None:
    """Write texts that are not kept yet: one query, however many."""
    found = {text.digest: text for text in texts if text is not None}
    if found:
        DoneText.objects.bulk_create(found.values(), ignore_conflicts=True)
