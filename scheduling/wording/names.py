"""What the planner's days and ids are called in a sentence."""

from typing import Protocol


class Names(Protocol):
    """Names for the ids of one plan, and words for its day numbers and money.

    Each id is looked up whole.  One that is not known gets a plain word, never the id.
    """

    def day(self, number: int) -> str:
        """Return a day as it follows "on"."""

    def days(self, first: int, last: int) -> str:
        """Return the days from a first to a last one, both included."""

    def task(self, key: str) -> str:
        """Return what is to be done, without saying on which machine."""

    def task_on(self, key: str) -> str:
        """Return what is to be done, and on which machine."""

    def mechanic(self, key: str) -> str:
        """Return the name of a person."""

    def skill(self, key: str) -> str:
        """Return the name of a skill; empty for what everybody can do."""

    def part(self, key: str) -> str:
        """Return the name of a part."""

    def booking(self, key: str) -> str:
        """Return what tells a booking from others; empty where its days do."""

    def yard(self, key: str) -> str:
        """Return the place where work is done."""

    def site(self, key: str) -> str:
        """Return the name of a remote place."""

    def money(self, amount: float) -> str:
        """Return money of either sign."""


class IdNames:
    """Ids as they are, for a plan made from an instance file: its reader knows them."""

    def day(self, number: int) -> str:
        """Return "day 3"."""
        return f"day {number}"

    def days(self, first: int, last: int) -> str:
        """Return "day 3" or "days 3 to 5"."""
        return f"day {first}" if first == last else f"days {first} to {last}"

    def task(self, key: str) -> str:
        """Return the id."""
        return key

    task_on = mechanic = skill = part = booking = task

    def yard(self, key: str) -> str:
        """Return "yard y"."""
        return f"yard {key}"

    def site(self, key: str) -> str:
        """Return "ranch r"."""
        return f"ranch {key}"

    def money(self, amount: float) -> str:
        """Return money without a currency, to the cent."""
        return f"{amount:.2f}"
