"""Figures by which forecasts are compared."""

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.forecast_protocol import CAP

QUANTILES = np.array([0.1, 0.5, 0.9])
LATE = 7


@dataclass(frozen=True)
class Answers:
    """Answers to n questions: shapes (n,), and (n, 3) for days."""

    days: np.ndarray
    truth: np.ndarray
    shown: np.ndarray  # readings shown with the question
    nominal: np.ndarray  # days that the question is about, by the machine's own past rate

    def where(self, keep: np.ndarray) -> "Answers":
        """Return the flagged answers."""
        return Answers(self.days[keep], self.truth[keep], self.shown[keep], self.nominal[keep])

    @classmethod
    def joined(cls, parts: list["Answers"]) -> "Answers":
        """Return all answers as one."""
        names = ("days", "truth", "shown", "nominal")
        return cls(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def whole_days(days: np.ndarray) -> np.ndarray:
    """Cut days to whole ones in 0..CAP; cutting keeps the loss of a quantile proper."""
    return np.floor(np.clip(np.nan_to_num(days, nan=CAP, posinf=CAP), 0, CAP))


def figures(answers: Answers) -> dict[str, float]:
    """Return the figures of a set of answers.

    mae, median_error, bias of the median in days; pinball loss in days; coverage of the 0.1-0.9
    range among answers that lie wholly inside (0, CAP), a choice made by the answer and not by
    the outcome; shares of medians and of 0.1 quantiles more than a week late.
    """
    days, truth = whole_days(answers.days), answers.truth.astype(float)
    early, middle, late = days.T
    off = truth[:, None] - days
    inner = (early > 0) & (late < CAP)
    covered = (early <= truth) & (truth <= late)
    return {
        "mae": np.abs(off[:, 1]).mean(),
        "median_error": np.median(np.abs(off[:, 1])),
        "bias": -off[:, 1].mean(),
        "pinball": np.maximum(QUANTILES * off, (QUANTILES - 1) * off).mean(),
        "cover80_inner": covered[inner].mean() if inner.any() else np.nan,
        "late7": (middle - truth > LATE).mean(),
        "late7_q10": (early - truth > LATE).mean(),
    }


def slices(answers: Answers) -> dict[str, Answers]:
    """Cut answers by readings shown and by days asked about, never by the outcome."""
    parts = {"all": answers}
    for low, high in ((1, 1), (2, 4), (5, 9), (10, 999)):
        parts[f"{low}-{high} readings"] = answers.where(
            (answers.shown >= low) & (answers.shown <= high)
        )
    for low, high in ((0, 14), (14, 40), (40, 120)):
        parts[f"{low}-{high} days"] = answers.where(
            (answers.nominal >= low) & (answers.nominal < high)
        )
    return {name: part for name, part in parts.items() if part.truth.size >= 20}


def with_interval(points: np.ndarray, truth: np.ndarray) -> np.ndarray:
    """Give points a range: times the 0.1 and 0.9 quantiles of truth over point, (n, 3).

    The factors are taken from these very answers, which flatters the baseline.
    """
    inside = (points > 0) & (points < CAP)
    low, high = np.quantile(truth[inside] / points[inside], [0.1, 0.9])
    return np.stack([points * low, points, points * high], axis=1)
