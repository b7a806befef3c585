"""How far a search for a plan is, written down for whoever waits for it."""

import logging
import time
from collections.abc import Callable
from math import isfinite
from threading import get_ident

from django.db import DatabaseError

from scheduling.core.planner import RunProgress
from scheduling.models import PlanSearch
from scheduling.wording import stage_words

logger = logging.getLogger(__name__)

PAUSE = 0.5
"""Least seconds between two rows written of one stage."""


class Telling:
    """Writes the progress of one search, at most about twice a second, each as one short write.

    It is called by the solver, outside any transaction.  A call from another thread, which would
    open a connection of its own, and a database that is busy are passed over: the next one tells.
    """

    def __init__(self, search: int, clock: Callable[[], float] = time.monotonic) -> None:
        self.search, self.clock, self.thread = search, clock, get_ident()
        self.words, self.next_time = "", float("-inf")

    def stage(self, words: str) -> None:
        """Say what begins now; the figures of the stage before are forgotten."""
        self.words = words
        self._write(stage=words, share=0.0, cost=None, bound=0.0)

    def __call__(self, told: RunProgress) -> None:
        """Take the planner's word of how far it is."""
        if get_ident() != self.thread or self.clock() < self.next_time:
            return
        self._write(
            stage=f"{self.words}: {stage_words(told)}" if self.words else stage_words(told),
            share=min(max(told.share, 0.0), 1.0),
            cost=told.cost if isfinite(told.cost) else None,
            bound=told.bound if isfinite(told.bound) else 0.0,
        )

    def _write(self, *, stage: str, **figures: float | None) -> None:
        self.next_time = self.clock() + PAUSE
        try:
            PlanSearch.objects.filter(pk=self.search).update(stage=stage[:80], **figures)
        except DatabaseError as error:
            logger.warning("Progress of search %s was not written: %s", self.search, error)
