"""Read single fields of an instance, with a sentence for whatever does not fit.

Every message starts with the field's place, such as ``tasks[t7].due.p50``, then says what is
wrong.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from .entities import InstanceError

LARGEST = 1e9
"""Hours, days, money or pieces beyond which a number is taken for a mistake; sums stay exact."""


@dataclass(frozen=True, slots=True)
class Fields:
    """A dictionary of the instance and the path by which messages name it."""

    values: dict[str, Any]
    path: str

    def place(self, name: str) -> str:
        """Return the path of field `name`."""
        return f"{self.path}.{name}" if self.path else name

    def wrong(self, name: str, text: str) -> InstanceError:
        """Return the error that says what is wrong with field `name`."""
        return InstanceError(f"{self.place(name)}: {text}")

    def get(self, name: str) -> Any:
        """Return a field that must be there."""
        if name not in self.values:
            raise self.wrong(name, "is missing")
        return self.values[name]

    def text(self, name: str) -> str:
        """Return a text that is not empty."""
        value = self.get(name)
        if not isinstance(value, str) or not value:
            raise self.wrong(name, f"must be a text, not {value!r}")
        return value

    def flag(self, name: str) -> bool:
        """Return true or false."""
        value = self.get(name)
        if not isinstance(value, bool):
            raise self.wrong(name, f"must be true or false, not {value!r}")
        return value

    def number(self, name: str, low: float | None = 0.0, high: float | None = None) -> float:
        """Return a number from `low` to `high`, in whatever unit the field has.

        Where one of them is None, `LARGEST` bounds that side.
        """
        value = self.get(name)
        # In Python true is 1 and false 0; in a file they are mistakes.
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(name, f"must be a number, not {value!r}")
        # JSON readers let NaN and Infinity through, and no comparison below would stop NaN.
        if isinstance(value, float) and not math.isfinite(value):
            raise self.wrong(name, f"must be a finite number, not {value!r}")
        if abs(value) > LARGEST:
            raise self.wrong(name, f"a number beyond {LARGEST:g} cannot be meant")
        if low is not None and value < low:
            raise self.wrong(name, f"{value:g} is below {low:g}")
        if high is not None and value > high:
            raise self.wrong(name, f"{value:g} is above {high:g}")
        return float(value)

    def whole(self, name: str, low: int | None = None, high: int | None = None) -> int:
        """Return a whole number from `low` to `high`, bounded as `number` is."""
        value = self.get(name)
        if isinstance(value, bool) or not isinstance(value, int):
            raise self.wrong(name, f"must be a whole number, not {value!r}")
        self.number(name, low, high)
        return value

    def optional_whole(self, name: str) -> int | None:
        """Return a whole number, or None when the field is null or absent."""
        return None if self.values.get(name) is None else self.whole(name)

    def items(self, name: str) -> list[Any]:
        """Return a list."""
        value = self.get(name)
        if not isinstance(value, list):
            raise self.wrong(name, f"must be a list, not {value!r}")
        return value

    def numbers(self, name: str, count: int, high: float | None = None) -> tuple[float, ...]:
        """Return `count` numbers of 0 or more, one a day."""
        values = self.items(name)
        if len(values) != count:
            raise self.wrong(name, f"must hold {count} numbers, one a day, not {len(values)}")
        top = LARGEST if high is None else high
        for day, value in enumerate(values):
            if type(value) not in (int, float) or not 0 <= value <= top:
                allowed = "0 or more" if high is None else f"0 to {high:g}"
                raise self.wrong(name, f"day {day} must be a number, {allowed}, not {value!r}")
        return tuple(map(float, values))

    def optional_numbers(self, name: str, count: int) -> tuple[float, ...]:
        """Return `count` numbers, one a day, or none when the field is null or absent."""
        return () if self.values.get(name) is None else self.numbers(name, count)

    def optional_whole_numbers(self, name: str, count: int) -> tuple[int, ...]:
        """Return `count` whole numbers of either sign, or none when the field is null or absent."""
        if not self.has(name):
            return ()
        values = self.items(name)
        if len(values) != count:
            raise self.wrong(name, f"must hold {count} numbers, one a day, not {len(values)}")
        for day, value in enumerate(values):
            if type(value) is not int or abs(value) > LARGEST:
                raise self.wrong(name, f"day {day} must be a whole number, not {value!r:.60}")
        return tuple(values)

    def has(self, name: str) -> bool:
        """Tell whether the field is there and not null."""
        return self.values.get(name) is not None

    def texts(self, name: str) -> frozenset[str]:
        """Return a set of texts."""
        values = self.items(name)
        for value in values:
            if not isinstance(value, str):
                raise self.wrong(name, f"must be a list of texts, not of {value!r}")
        return frozenset(values)

    def days(self, name: str) -> frozenset[int]:
        """Return a set of days."""
        values = self.items(name)
        for value in values:
            if isinstance(value, bool) or not isinstance(value, int):
                raise self.wrong(name, f"must be a list of whole days, not of {value!r}")
        return frozenset(values)

    def part(self, name: str) -> "Fields":
        """Return the dictionary that stands in field `name`."""
        return as_fields(self.get(name), self.place(name))

    def rows(self, name: str) -> Iterator["Fields"]:
        """Yield the dictionaries of a list, named by id where they have one."""
        for index, value in enumerate(self.items(name)):
            label = value.get("id", index) if isinstance(value, dict) else index
            yield as_fields(value, f"{self.place(name)}[{label}]")


def as_fields(value: object, path: str) -> Fields:
    """Return `value` as fields, or refuse it."""
    if not isinstance(value, dict):
        raise InstanceError(f"{path or 'the instance'}: must be an object, not {value!r:.60}")
    return Fields(value, path)
