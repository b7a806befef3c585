"""Facts of whole shops that several stages of one run need, loaded by the first of them."""

from datetime import datetime

from scheduling.facts.load_facts import Facts, load_facts
from scheduling.facts.scope import Scope


class LoadOnce:
    """Hands out what it loaded before, for the same machines and the same time.

    Facts of one scope are held at a time; `forget` lets them go, since those of a large fleet fill
    a few hundred megabytes.
    """

    def __init__(self) -> None:
        self._asked: tuple[Scope, datetime] | None = None
        self._facts: Facts | None = None

    def __call__(self, scope: Scope, now: datetime) -> Facts:
        """Return all facts of the machines of a scope."""
        if self._facts is None or self._asked != (scope, now):
            self._asked, self._facts = (scope, now), load_facts(scope, now)
        return self._facts

    def forget(self) -> None:
        """Let go of what was loaded."""
        self._asked = self._facts = None
