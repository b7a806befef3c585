"""Short ways to write interval rules and a service book in a test."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from scheduling.core.intervals import CalendarRules, DuePoints, MeterRules, ServicesDone, due_points

Service = tuple[str | None, float | None]
"""The day and the life of a service; None where it is not known."""


def days(*texts: str | None) -> np.ndarray:
    return np.array([text or "NaT" for text in texts], dtype="datetime64[D]")


def book(*services: Service, line: int = 0) -> ServicesDone:
    lives = [np.nan if life is None else life for _, life in services]
    return ServicesDone(
        np.full(len(services), line), days(*(day for day, _ in services)), np.array(lives)
    )


def meter(every: float = np.nan, **rules: Any) -> MeterRules:
    return MeterRules(np.array([every]), **rules)


def calendar(start: str | None = None, **rules: Any) -> CalendarRules:
    return CalendarRules(start=days(start), **rules)


def due_on_meter(services: Sequence[float], **rules: Any) -> DuePoints:
    """Due points of one line with a meter side, serviced at these lives."""
    return due_points(meter(**rules), calendar(), book(*((None, life) for life in services)))


def due_on_calendar(services: Sequence[str], **rules: Any) -> DuePoints:
    """Due points of one line with a calendar side, serviced on these days."""
    return due_points(meter(), calendar(**rules), book(*((day, None) for day in services)))
