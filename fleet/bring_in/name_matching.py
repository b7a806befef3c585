"""Names as people write them again: other case, blanks, dashes, order of words, a slip of the key.

A tag is the same whatever its case, blanks and marks, if only one fits.  A longer name may also
have its words in another order, or one slip; its numbers must be the same, since a 250 h service
is no 500 h service.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from typing import Generic, TypeVar

from fleet.folded_names import folded, squeezed

T = TypeVar("T")

ALIKE = 0.88
"""Share of letters that two names must have in common to be one with a slip."""
SHORTEST_GUESS = 5
"""Letters below which a slip makes another name."""


class SeveralFit(Exception):
    """More than one name fits what was written."""

    def __init__(self, names: list[str]) -> None:
        super().__init__(", ".join(names))
        self.names = names


def _bag(text: str) -> tuple[str, ...]:
    words = re.sub(r"(?<=\d)(?=[a-z])", " ", folded(text)).split()
    return tuple(sorted(word.rstrip("s") or word for word in words))


def _digits(text: str) -> list[str]:
    return sorted(re.findall(r"\d+", text))


@dataclass
class NamesOf(Generic[T]):
    """Things by their names.

    loose: words may stand in another order, and one slip is forgiven; not for tags.
    """

    loose: bool = True
    exact: dict[str, T] = field(default_factory=dict)
    by_squeezed: dict[str, list[str]] = field(default_factory=dict)
    by_bag: dict[tuple[str, ...], list[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, pairs: Iterable[tuple[str, T]], *, loose: bool = True) -> "NamesOf[T]":
        """Return things by name; of two that have one name, the first."""
        found = cls(loose)
        for name, thing in pairs:
            found.add(name, thing)
        return found

    def add(self, name: str, thing: T) -> None:
        """Let a thing be found by a name."""
        if name in self.exact or not squeezed(name):
            return
        self.exact[name] = thing
        self.by_squeezed.setdefault(squeezed(name), []).append(name)
        if self.loose:
            self.by_bag.setdefault(_bag(name), []).append(name)

    def name_of(self, written: str) -> str | None:
        """Return the name that is meant, or None.

        Raises:
            SeveralFit: more than one is as near.

        """
        written = " ".join(written.split())
        if written in self.exact:
            return written
        near = self.by_squeezed.get(squeezed(written), [])
        cased = [name for name in near if name.casefold() == written.casefold()]
        if one := _one(cased or near):
            return one
        if not self.loose:
            return None
        return _one(self.by_bag.get(_bag(written), [])) or _one(self._alike(written))

    def find(self, written: str) -> T | None:
        """Return what is meant by a name, or None; SeveralFit as in name_of."""
        name = self.name_of(written)
        return None if name is None else self.exact[name]

    def _alike(self, written: str) -> list[str]:
        sought = folded(written)
        if len(sought) < SHORTEST_GUESS:
            return []
        matcher = SequenceMatcher(b=sought, autojunk=False)
        near = []
        for name in self.exact:
            other = folded(name)
            if abs(len(other) - len(sought)) > 2 or _digits(other) != _digits(sought):
                continue
            matcher.set_seq1(other)
            if matcher.quick_ratio() >= ALIKE and matcher.ratio() >= ALIKE:
                near.append(name)
        return near


def _one(names: list[str]) -> str | None:
    if len(names) > 1:
        raise SeveralFit(sorted(names))
    return names[0] if names else None
