"""Which rows an import made, as spans of their numbers: a million readings are a few spans."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.db.models import Model

Spans = list[list[int]]


@dataclass
class MadeRows:
    """Spans of row numbers by model ("fleet.reading"), each [first, last]."""

    spans: dict[str, Spans] = field(default_factory=dict)

    def add(self, model: type[Model], numbers: Iterable[int]) -> None:
        """Note rows; numbers that follow one another become one span."""
        self.add_to(model._meta.label_lower, numbers)

    def add_to(self, label: str, numbers: Iterable[int]) -> None:
        """Note rows of a model by its label."""
        own = self.spans.setdefault(label, [])
        for number in sorted(numbers):
            if own and own[-1][1] == number - 1:
                own[-1][1] = number
            else:
                own.append([number, number])

    def count(self, label: str) -> int:
        """Return how many rows of a model were made."""
        return sum(last - first + 1 for first, last in self.spans.get(label, []))

    def numbers(self, label: str) -> Iterator[int]:
        """Go through the numbers of a model's rows."""
        for first, last in self.spans.get(label, []):
            yield from range(first, last + 1)

    @property
    def any(self) -> bool:
        """Whether anything was made."""
        return any(self.spans.values())
