"""Fit the law of use to a fleet's own past.

A law is judged by the forecasts that it would have made on two days in the past. The loss is the
ranked probability score of the day on which a level is reached, added up at the later readings,

    Σ (days the look stands for) · (F − 1[reached])²,

a proper score, in days (T. Gneiting and A. E. Raftery, Strictly proper scoring rules, JASA 102,
2007, section 4.2). One number of the law at a time is moved up and down a ladder; a move counts
only if it gains more than three standard errors of the gain, so that a fleet whose past says
little keeps the defaults.
"""

from dataclasses import replace

import numpy as np

from scheduling.core.forecast.circumstances import Circumstances
from scheduling.core.forecast.mixture import MixturePassage
from scheduling.core.forecast.past import LEVELS, LOOKS, PastQuestions, ask_past
from scheduling.core.usage.arrays import Floats
from scheduling.core.usage.cleaning import Cleaned
from scheduling.core.usage.intervals import use_intervals
from scheduling.core.usage.law import UseLaw
from scheduling.core.usage.memory import Memory
from scheduling.core.usage.rates import estimate_rates, fit_rates

CUTS = ((0.5, 120.0), (0.75, 60.0))
"""The days in the past: this share of the fleet's history before them, at most so many days ago."""

LEAST_QUESTIONS = 40
"""Machines asked about below which the defaults stay."""

LADDER = {"lump": 1.6, "spread": 3.0, "half_life": 2.0, "change": 3.0}
"""The factor by which each number is moved, first at its full size and then at its root."""

BOUNDS = {
    "lump": (0.05, 40.0),
    "spread": (1e-4, 0.6),
    "half_life": (8.0, 500.0),
    "change": (1e-3, 0.5),
}
"""How far each number may go."""

STANDARD_ERRORS = 3.0
"""Standard errors of the gain above which a move counts."""


def tune_law(cleaned: Cleaned, about: Circumstances, start: UseLaw | None = None) -> UseLaw:
    """Return the law of use that would have served a fleet best in its own past.

    Args:
        cleaned: life lines of the fleet up to the origin.
        about: groups, day weights and origin.
        start: the law to start from, and to keep where the past says little.

    """
    law = start or UseLaw()
    questions = _questions(cleaned, about)
    if sum(q.group.size for q in questions) < LEAST_QUESTIONS:
        return law
    loss = _losses(law, questions)
    for root in (1.0, 0.5):
        for name, factor in LADDER.items():
            for step in (factor**-root, factor**root):
                law, loss = _climb(law, loss, questions, (name, step))
    return law


def _questions(cleaned: Cleaned, about: Circumstances) -> list[PastQuestions]:
    """Ask on the days in the past that CUTS names."""
    if not cleaned.day.size:
        return []
    # The very first readings of a fleet may be one machine's alone.
    begin = float(np.quantile(cleaned.day, 0.01))
    intervals = use_intervals(cleaned, about.day_weights)
    days = [max(begin + share * (about.origin - begin), about.origin - ago) for share, ago in CUTS]
    asked = [ask_past(cleaned, intervals, about.groups, day) for day in days]
    return [questions for questions in asked if questions is not None]


def _climb(
    law: UseLaw, loss: Floats, questions: list[PastQuestions], move: tuple[str, float]
) -> tuple[UseLaw, Floats]:
    """Repeat one move of one number for as long as it gains."""
    while True:
        tried = _moved(law, *move)
        if tried == law:
            return law, loss
        after = _losses(tried, questions)
        gain = loss - after
        if not gain.sum() > STANDARD_ERRORS * np.sqrt((gain**2).sum()):
            return law, loss
        law, loss = tried, after


def _moved(law: UseLaw, name: str, factor: float) -> UseLaw:
    """Return the law with one number multiplied, within its bounds."""
    low, high = BOUNDS[name]
    value = law.memory.half_life if name == "half_life" else getattr(law, name)
    value = float(np.clip(value * factor, low, high))
    match name:
        case "half_life":
            return replace(law, memory=Memory(value, law.memory.fast_share))
        case "lump":
            return replace(law, lump=value)
        case "spread":
            return replace(law, spread=value)
        case _:
            return replace(law, change=value)


def _losses(law: UseLaw, questions: list[PastQuestions]) -> Floats:
    """Return the loss of a law, one number for each machine asked about on each day."""
    return np.concatenate([_loss(law, asked) for asked in questions])


def _loss(law: UseLaw, asked: PastQuestions) -> Floats:
    """Return the ranked probability score of each machine, in days, shape (k,)."""
    model = fit_rates(asked.intervals, asked.group, asked.day, law)
    rates = estimate_rates(model, asked.intervals, asked.group, asked.day)
    machine = np.arange(asked.group.size)
    missed = np.zeros(asked.reached.shape)
    for level in range(LEVELS.size):
        passage = MixturePassage(law, rates, machine, asked.level[:, level])
        for look in range(LOOKS.size):
            missed[:, look, level] = passage(asked.days[:, look])
    missed -= asked.reached
    return np.asarray((asked.weight[:, :, None] * missed**2).sum(axis=(1, 2)))
