"""What a database must be able to do so that it can be copied and put back."""

from pathlib import Path
from typing import Protocol

from fleet.back_up.row_sums import TableSums


class CannotCopyError(Exception):
    """A copy could not be made, read or put back; the sentence says why."""


class Store(Protocol):
    """One database, of whatever make."""

    vendor: str

    def is_empty(self) -> bool:
        """Whether it has no table."""

    def sums(self) -> TableSums:
        """Return the sums of the rows that are there now."""

    def copy_to(self, target: Path) -> TableSums:
        """Write a copy as of one moment to a file; return the sums of its rows."""

    def read(self, copy: Path) -> TableSums:
        """Read a copy whole; raise CannotCopyError where it is damaged.

        Where a make's copies can only be counted, the digests are empty.
        """

    def put_back(self, copy: Path) -> TableSums:
        """Fill the empty database from a copy; return the sums of its rows then."""
