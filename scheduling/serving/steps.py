"""Numbered steps on the terminal: what is being done, how far it is, how long it took."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import perf_counter
from typing import TextIO


class Steps:
    """Shows "[2/5] The demo fleet ... 60 of 98 machines", on one line where the terminal can."""

    def __init__(self, out: TextIO, total: int) -> None:
        self.out = out
        self.total = total
        self.number = 0
        self.one_line = out.isatty()
        self._title = ""
        self._width = 0

    @contextmanager
    def step(self, title: str) -> Iterator[Callable[[str], None]]:
        """One step; what is yielded says how far it is."""
        self.number += 1
        self._title = f"[{self.number}/{self.total}] {title}"
        began = perf_counter()
        self._show("...")
        yield self._show
        self._show(f"done in {perf_counter() - began:.1f} s", last=True)

    def _show(self, how_far: str, *, last: bool = False) -> None:
        line = f"{self._title}: {how_far}"
        if self.one_line:
            self.out.write("\r" + line.ljust(self._width) + ("\n" if last else ""))
            self._width = 0 if last else max(self._width, len(line))
        else:
            self.out.write(line + "\n")
        self.out.flush()
