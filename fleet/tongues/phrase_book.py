"""Sentences that Python makes, said in the language of the page.

What is decided, refused, logged and kept is English, so that one sentence has one form in the
database and in every file.  The page translates it as it shows it: a sentence of the catalogue as
it is, one with places ("{0} min left") by its pattern, with what stands in the places translated
in turn.  What people typed is in no catalogue and is shown as they typed it.
"""

import re
from collections.abc import Callable, Mapping
from functools import cache, lru_cache
from gettext import GNUTranslations
from pathlib import Path

from django.conf import settings
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext, trans_real

from fleet.models.people import Tongue
from fleet.tongues.spoken_dates import DATE, spoken_date

PLACE = re.compile(r"\{(\w+)\}")
MUCH = 12
"""Letters that say enough about places that stand beside each other."""
DEPTH = 5
"""How deep phrases stand in phrases; deeper is no sentence of ours."""
DAY_WITH = "{0} with {1}"
BARE = re.compile(r"\W*(?:(?:a|and|at|by|for|from|in|of|on|or|since|the|to|until|with)\b\W*)*")
"""What a sentence has besides its places that says nothing by itself: "{0} of {1}", "at {0}"."""
UNIT = r"(?: ?(?:h|min|mi|km|qt|gal|fl oz|mL|L|mm|in|psi|bar|V|A|Hz|s|°C|°F|dB\(A\)|%))?"
CODE = re.compile(r"([A-Z]{1,4}-\d+\w*|[\d.,]+ (?:×|qt|gal|fl oz|mL|L)) (.+)")
FIGURE = re.compile(rf"(?:\d+ h )?[$€£+\d.,:%×–−/ -]*{UNIT}")
"""What is the same in every language: a number with its unit, a time of day."""


def spoken(sentence: object) -> str:
    """Return a sentence of ours in the language of the page; anything else unchanged."""
    text = str(sentence)
    language = get_language() or Tongue.ENGLISH.value
    if language == Tongue.ENGLISH or not text.strip() or isinstance(sentence, SafeString):
        return text
    return _spoken(text.replace("\u00a0", " "), language) or text


@lru_cache(maxsize=8192)
def _spoken(text: str, language: str) -> str | None:
    """Return what a sentence becomes, or None where the catalogue does not have it."""
    return _said(text, language, DEPTH)


def _said(text: str, language: str, depth: int) -> str | None:
    if FIGURE.fullmatch(text):
        return text
    if depth == 0:
        return None
    ways: tuple[Callable[[str, str, int], str | None], ...] = (
        _whole, _beheaded, _with_figure, _after_code, _by_pattern, _in_parts, _listed,
    )  # fmt: skip
    found = (way(text, language, depth) for way in ways)
    return next((one for one in found if one is not None), None)


def _whole(text: str, language: str, depth: int) -> str | None:
    if DATE.fullmatch(text):
        return spoken_date(text)
    if not text.strip() or "\n" in text:
        return None
    own = gettext(text)
    return own if own != text or text in _same(language) else None


def _with_figure(text: str, language: str, depth: int) -> str | None:
    """Say words with a sum, value or grade behind: "late work +$48.00", "lining 4.2 mm"."""
    match = re.fullmatch(rf"(\D+?) ([+−]?[^\w\s]?[\d.,]+{UNIT}|\d+W-\d+)", text)
    said = _whole(match[1], language, depth) if match else None
    return f"{said} {match[2]}" if match and said else None


def _after_code(text: str, language: str, depth: int) -> str | None:
    """Say what is called behind its number or measure: "OF-2055 oil filter", "3.5 qt oil"."""
    match = CODE.fullmatch(text)
    said = _said(match[2], language, depth - 1) if match else None
    return f"{match[1]} {said}" if match and said else None


def _by_pattern(text: str, language: str, depth: int) -> str | None:
    """Fill the pattern that says most of it, whatever its head and its stop."""
    for pattern, english, names in _patterns(language):
        for bare in _bared(text):
            match = pattern.fullmatch(bare)
            if not match or (english == DAY_WITH and text.endswith(".")):
                continue  # a whole sentence is no day with a name
            told = {name: _said(match[f"p{name}"], language, depth - 1) for name in names}
            if None in told.values() and _is_bare(english, told, depth):
                continue  # somebody's own words may read like that
            places = {name: said or match[f"p{name}"] for name, said in told.items()}
            said = PLACE.sub(lambda place: places[place[1]], gettext(english))  # noqa: B023
            return _dressed(said, text, bare)
    return None


def _bared(text: str) -> list[str]:
    """Return a text without its full stop and with it, each with its head and with a small one."""
    bare = text.removesuffix(".")
    low = bare[:1].lower() + bare[1:]
    return list(dict.fromkeys((bare, low, text, low + text[len(bare) :])))


def _dressed(said: str, text: str, bare: str) -> str:
    """Return what was said of a bared text with its capital and its full stop again."""
    head = said[:1].upper() + said[1:] if text[0] != bare[0] else said
    return head + text[len(bare) :]


def _is_bare(english: str, told: Mapping[str, str | None], depth: int) -> bool:
    """Whether a pattern says too little to go by; of a day with a name, the day is enough."""
    if english == DAY_WITH:
        return depth == DEPTH or not any(told.values())
    return bool(BARE.fullmatch(PLACE.sub("", english)))


def _beheaded(text: str, language: str, depth: int) -> str | None:
    """Try it with a small letter at its head, and without the full stop at its end.

    What stands in a place may have lost its stop to the sentence around it.
    """
    for bare in _bared(text):
        if said := _whole(bare, language, depth):
            return _dressed(said, text, bare)
    said = None if text.endswith(".") else _whole(f"{text}.", language, depth)
    return said and said.removesuffix(".")


SEAMS = (r"(?<=[.!?]) (?=[A-Z“])", r"; ", r": ", r", and | and ", r", ")
"""Where sentences, then parts of one, are joined; the first that is there is tried."""


def _in_parts(text: str, language: str, depth: int) -> str | None:
    """Say the parts of what was joined, if each but the names among them is known."""
    for seam in SEAMS:
        parts = re.split(f"({seam})", text)
        if len(parts) < 3:
            continue
        told = [_said(part, language, depth - 1) for part in parts[::2]]
        if not any(told) or (seam != SEAMS[0] and not all(told)):
            continue
        joints = [joint.replace("and", "y") for joint in parts[1::2]]
        said = [new or old for new, old in zip(told, parts[::2], strict=True)]
        return said[0] + "".join(a + b for a, b in zip(joints, said[1:], strict=True))
    return None


def _listed(text: str, language: str, depth: int) -> str | None:
    """Say a list of names, of which some have a comma or an "and" of their own."""
    for seam in re.finditer(", | and ", text):
        first = _whole(text[: seam.start()], language, depth)
        rest = text[seam.end() :]
        unit = rest if FIGURE.fullmatch(rest) else None
        others = first and (unit or _whole(rest, language, depth) or _listed(rest, language, depth))
        if first and others:
            return first + seam[0].replace("and", "y") + others
    return None


@cache
def _patterns(language: str) -> tuple[tuple[re.Pattern[str], str, tuple[str, ...]], ...]:
    """Return the sentences with places, those that say most first."""
    found = []
    for english in _catalogue(language):
        names = tuple(dict.fromkeys(PLACE.findall(english)))
        bare = PLACE.sub("", english)
        # places beside each other cannot be told apart, unless much is said about them
        beside = re.search(r"\} ?\{", english) and len(re.findall("[a-z]", bare)) < MUCH
        ends = re.search(r"[a-z]\{|\}[a-z]", english)  # the end of a word is no place
        if names and re.search(r"\w", bare) and not beside and not ends:
            found.append((_pattern(english), english, names))
    return tuple(sorted(found, key=lambda one: -len(PLACE.sub("", one[1]))))


def _pattern(english: str) -> re.Pattern[str]:
    said, seen = "", set()
    for n, part in enumerate(PLACE.split(english)):
        if n % 2 == 0:
            said += re.escape(part)
        elif part in seen:
            said += f"(?P=p{part})"
        else:
            said += f"(?P<p{part}>{_filling(english, part)})"
            seen.add(part)
    return re.compile(said, re.S)


def _filling(english: str, part: str) -> str:
    """Return what may stand in a place: what was typed, or no more than a clause."""
    if f"“{{{part}}}”" in english:
        return ".*?"  # it may be nothing
    typed = english.endswith(f": {{{part}}}") or english.endswith(f": {{{part}}}.")
    return ".+?" if typed else r"(?:(?!; |[.!?] ).)+?"


@cache
def _same(language: str) -> frozenset[str]:
    """Return the sentences that are said in a language as in English."""
    catalogue = trans_real.translation(language)
    return frozenset(one for one in _catalogue(language) if catalogue.gettext(one) == one)


@cache
def _catalogue(language: str) -> tuple[str, ...]:
    """Return the English sentences of our own catalogues that are translated."""
    found: dict[str, None] = {}
    for folder in settings.LOCALE_PATHS:
        with (Path(folder) / language / "LC_MESSAGES" / "django.mo").open("rb") as file:
            known = GNUTranslations(file)._catalog  # type: ignore[attr-defined]
        found |= dict.fromkeys(one for one in known if isinstance(one, str) and one)
    return tuple(found)
