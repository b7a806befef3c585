"""Sentences that Python makes, said in the language of the page.

What is decided, refused, logged and kept is English, so that one sentence has one form in the
database and in every file.  The page translates it as it shows it: a sentence of the catalogue as
it is, one with places ("{0} min left") by its pattern, with what stands in the places translated
in turn.  What people typed is in no catalogue and is shown as they typed it.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from gettext import GNUTranslations
from pathlib import Path

from django.conf import settings
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext, trans_real

from fleet.models.people import Tongue
from fleet.tongues.spoken_dates import DATE, spoken_date

PLACE = re.compile(r"\{(\w+)\}")
COUNT = "n"
"""The name of a place in which a number stands."""
FILLED = re.compile(r"\{\w+\}|%\(\w+\)s")
MUCH = 12
"""Letters that say enough about places that stand beside each other."""
PLENTY = 20
"""Letters of ours that hold even around what somebody wrote at length."""
DEPTH = 7
"""How deep phrases stand in phrases; deeper is no sentence of ours."""
ALONE = 2
"""Places of which each has to be known, where nothing else is said."""
DAY_WITH = "{0} with {1}"
ON_DAY = "{0} on {1}"
BARE = re.compile(r"\W*(?:(?:a|and|at|by|for|from|in|of|on|or|since|the|to|until|with)\b\W*)*")
"""What a sentence has besides its places that says nothing by itself: "{0} of {1}", "at {0}"."""
WORD = re.compile(r"(?<![^\W_])[^\W\d_]{2,}(?![^\W_])")
UNIT = r"(?: ?(?:h|min|mi|km|qt|gal|fl oz|mL|L|mm|in|psi|bar|V|A|Hz|s|°C|°F|dB\(A\)|%))?"
CODE = re.compile(r"([A-Z]{1,4}-[A-Z\d]+\w*|[\d.,]+ (?:×|qt|gal|fl oz|mL|L)) (?!for |of |on )(.+)")
TAG = r"[A-Z]{1,4}-\d+\w*"
PLACED = re.compile(rf"((?:(?! on {TAG}).)+) on ({TAG})")
"""Work and the machine that it is on, in a list of such."""
FIGURE = re.compile(rf"(?:\d+ h )?[$€£+\d.,:%×–−/ -]*{UNIT}|{TAG}")
"""What is the same in every language: a number with its unit, a time of day, a tag."""


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


@lru_cache(maxsize=32768)
def _said(text: str, language: str, depth: int) -> str | None:
    """Say it in the way that leaves the least English in it, of equal ones in the first."""
    if FIGURE.fullmatch(text):
        return text
    if depth == 0:
        return None
    best, least = None, 0
    for one in _ways(text, language, depth):
        left = len(_words(one) & _english(language))
        if best is None or left < least:
            best, least = one, left
        if not left:
            break
    return best


def _ways(text: str, language: str, depth: int) -> Iterator[str]:
    """Yield what a text may become, the surest way first."""
    for way in (_whole, _beheaded, _with_figure, _after_code, _placed, _labelled):
        if (found := way(text, language, depth)) is not None:
            yield found
    yield from _by_pattern(text, language, depth)
    for way in (_in_parts, _listed, _listed_some):
        if (found := way(text, language, depth)) is not None:
            yield found


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


def _placed(text: str, language: str, depth: int) -> str | None:
    """Say work and the machine that it is on: "Engine overhaul on T-05"."""
    match = PLACED.fullmatch(text)
    if not match:
        return None
    typed = match[1] if depth < DEPTH else None  # within a sentence of ours it is a name
    said = _beheaded(match[1], language, depth) or typed
    return gettext("{0} of {1}").format(said, match[2]) if said else None


def _labelled(text: str, language: str, depth: int) -> str | None:
    """Say sentences of ours behind a word of ours: "WARNING: Key out. Lock it", and the like."""
    head, seam, rest = text.partition(": ")
    label = _whole(head, language, depth) if seam else None
    said = label and _beheaded(rest, language, depth)
    return f"{label}: {said}" if label and said else None


def _by_pattern(text: str, language: str, depth: int) -> Iterator[str]:
    """Fill the patterns that it fits, those that say most first, whatever its head and its stop."""
    for one in _patterns(language):
        english, names = one.english, one.names
        for bare, match in one.fits(_bared(text)):
            if english == DAY_WITH and text.endswith("."):
                continue  # a whole sentence is no day with a name
            if english == ON_DAY and re.match(TAG, match["p1"]):
                continue  # nor is a machine a day
            told = {name: _said(match[f"p{name}"], language, depth - 1) for name in names}
            if None in told.values() and _is_bare(english, told, depth):
                continue  # somebody's own words may read like that
            places = {name: said or match[f"p{name}"] for name, said in told.items()}
            said = PLACE.sub(lambda place: places[place[1]], gettext(english))  # noqa: B023
            yield _dressed(said, text, bare)


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
    if len(told) > ALONE and list(told.values()).count(None) == 1:
        return False  # a name among days and tags
    own = PLACE.sub("", english)
    if BARE.fullmatch(own.lower()) and not any(told.values()):
        return True  # the head of somebody's own sentence
    return bool(BARE.fullmatch(own))


def _beheaded(text: str, language: str, depth: int) -> str | None:
    """Try it with a small letter at its head, and without the full stop at its end.

    What stands in a place may have lost its stop to the sentence around it.
    """
    for bare in _bared(text):
        if said := _whole(bare, language, depth):
            return _dressed(said, text, bare)
    said = None if text.endswith(".") else _whole(f"{text}.", language, depth)
    return said and said.removesuffix(".")


SENTENCES, CLAUSES = r"(?<=[.!?]) (?=[A-Z“\d])", r"; "
PEOPLE = r", (?=[^,]+ (?:has|works only) \d)"
SEAMS = (SENTENCES, CLAUSES, r": ", PEOPLE, r", and | and ", r", ")
"""Where sentences, then parts of one, are joined; the first that is there is tried."""


def _in_parts(text: str, language: str, depth: int) -> str | None:
    """Say the parts of what was joined, if each but the names among them is known."""
    for seam in SEAMS:
        parts = re.split(f"({seam})", text)
        if len(parts) < 3:
            continue
        if seam == CLAUSES:
            parts = _rejoined(parts, language, depth)
        told = [_said(part, language, depth - 1) for part in parts[::2]]
        most = seam == CLAUSES and 2 * told.count(None) < len(told)
        if not any(told) or not (seam == SENTENCES or most or all(told)):
            continue
        joints = [joint.replace("and", "y") for joint in parts[1::2]]
        said = [new or old for new, old in zip(told, parts[::2], strict=True)]
        return said[0] + "".join(a + b for a, b in zip(joints, said[1:], strict=True))
    return None


def _rejoined(parts: list[str], language: str, depth: int) -> list[str]:
    """Return clauses with their joints, those as one that stand within words of ours.

    A defect is named in a reason as somebody wrote it, which may be two clauses.
    """
    found: list[str] = []
    while parts:
        ends = range(1, len(parts) + 1, 2)
        end = next((n for n in ends if _said("".join(parts[:n]), language, depth - 1)), 1)
        found += ["".join(parts[:end]), *parts[end : end + 1]]
        parts = parts[end + 1 :]
    return found


def _listed(text: str, language: str, depth: int) -> str | None:
    """Say a list of names, of which some have a comma or an "and" of their own."""
    for seam in re.finditer(", | and ", text):
        first = _item(text[: seam.start()], language, depth)
        rest = text[seam.end() :]
        others = first and (_item(rest, language, depth) or _listed(rest, language, depth))
        if first and others:
            return first + seam[0].replace("and", "y") + others
    return None


def _listed_some(text: str, language: str, depth: int) -> str | None:
    """Say a list within a sentence of ours, in which somebody's own words stand too.

    What is known of it has two words at least: a single one may be part of what they wrote.
    """
    parts = re.split("(, | and )", text)
    if depth >= DEPTH or len(parts) < 3:
        return None
    said, known = "", False
    while parts:
        ends = range(len(parts), 0, -2)
        tried = ((n, "".join(parts[:n])) for n in ends)
        found = ((n, _item(one, language, depth)) for n, one in tried if " " in one)
        end, name = next(((n, name) for n, name in found if name), (1, None))
        known = known or name is not None
        said += (name or parts[0]) + "".join(parts[end : end + 1]).replace("and", "y")
        parts = parts[end + 1 :]
    return said if known else None


def _item(text: str, language: str, depth: int) -> str | None:
    """Say one of a list: a name, a unit, work on a machine."""
    if FIGURE.fullmatch(text):
        return text
    if more := re.fullmatch(r"(\d+) more", text):
        return gettext("{0} more").format(more[1])
    return _placed(text, language, depth) or _beheaded(text, language, depth)


@dataclass(frozen=True)
class _Pattern:
    """A sentence with places.  names: of the places.  own: the words of ours between them.

    short, long: it as an expression, each place but the last as short or as long as it can be.
    """

    english: str
    names: tuple[str, ...]
    own: tuple[str, ...]
    short: re.Pattern[str]
    long: re.Pattern[str]

    def fits(self, texts: list[str]) -> Iterator[tuple[str, re.Match[str]]]:
        """Yield each of some texts that it says, with what stands in its places."""
        for text in texts:
            if not all(own in text for own in self.own):
                continue
            match = self.short.fullmatch(text)
            if match:
                yield text, match
                other = self.long.fullmatch(text)
                if other and other.groups() != match.groups():
                    yield text, other


@cache
def _patterns(language: str) -> tuple[_Pattern, ...]:
    """Return the sentences with places, those that say most first, of equal ones a count."""
    found = []
    for english in _catalogue(language):
        names = tuple(dict.fromkeys(PLACE.findall(english)))
        bare = PLACE.sub("", english)
        # places beside each other cannot be told apart, unless much is said about them
        beside = re.search(r"\} ?\{", english) and len(re.findall("[a-z]", bare)) < MUCH
        ends = re.search(r"[a-z]\{|\}[a-z]", english)  # the end of a word is no place
        if names and re.search(r"\w", bare) and not beside and not ends:
            own = tuple(PLACE.split(english)[::2])
            short, long = _expression(english, "?"), _expression(english, "")
            found.append(_Pattern(english, names, own, short, long))
    return tuple(
        sorted(found, key=lambda one: (-len(PLACE.sub("", one.english)), COUNT not in one.names))
    )


def _expression(english: str, lazy: str) -> re.Pattern[str]:
    said, seen = "", set()
    for n, part in enumerate(PLACE.split(english)):
        if n % 2 == 0:
            said += re.escape(part)
        elif part in seen:
            said += f"(?P=p{part})"
        else:
            said += f"(?P<p{part}>{_filling(english, part)}{lazy})"
            seen.add(part)
    return re.compile(said, re.S)


def _filling(english: str, part: str) -> str:
    """Return what may stand in a place: a number, what was typed, or no more than a clause."""
    if part == COUNT:
        return r"\d[\d.,]*"
    if f"“{{{part}}}”" in english:
        return ".*"  # it may be nothing
    typed = english.endswith((f": {{{part}}}", f": {{{part}}}."))
    typed = typed or len(re.findall("[a-z]", PLACE.sub("", english))) >= PLENTY
    return ".+" if typed else r"(?:(?!; |[.!?] ).)+"


def _words(text: str) -> set[str]:
    """Return the words of a text, small, without what is filled in."""
    return set(WORD.findall(FILLED.sub(" ", text).lower()))


@cache
def _english(language: str) -> frozenset[str]:
    """Return the words of our English sentences that none of those of a language has."""
    catalogue = trans_real.translation(language)
    ours = _catalogue(language)
    said = (_words(catalogue.gettext(one)) for one in ours)
    return frozenset(set().union(*map(_words, ours)) - set().union(*said))


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
