"""First passage: the chance that a machine's use has reached a threshold.

Use never runs backwards, so the threshold is passed by the end of a day exactly when the use up
to then reaches it: P(T ≤ d) = P(M(d) ≥ R). With use a gamma process this is the regularised upper
incomplete gamma function (J. M. van Noortwijk, A survey of the application of gamma processes in
maintenance, Reliability Engineering & System Safety 94, 2009, section 2,
doi:10.1016/j.ress.2007.03.019).
"""

import numpy as np
from scipy.special import gammaincc

from scheduling.core.usage import Floats


def gamma_passage(level: Floats, mean: Floats, shape: Floats) -> Floats:
    """Return P(M ≥ level) for use M ~ Gamma of this mean and shape: Q(k, k·level/μ).

    van Noortwijk 2009, doi:10.1016/j.ress.2007.03.019, with the scale written as μ/k.

    Args:
        level: R, what is left to the threshold, in any unit.
        mean: μ, expected use, in the same unit; 0 gives chance 0 unless R ≤ 0.
        shape: k, 1 over the squared coefficient of variation.

    Returns:
        Chances, of the arguments' common shape; 1 where R ≤ 0.

    """
    # shapes far below 1 are meant: an idle machine's use is nearly always 0 and now and then a lot
    ahead = (level > 0) & (mean > 0) & (shape > 0)
    ratio = np.divide(level, mean, out=np.ones(np.broadcast(level, mean).shape), where=ahead)
    chance = gammaincc(np.where(ahead, shape, 1.0), np.where(ahead, shape * ratio, 0.0))
    return np.where(ahead, chance, np.where(level <= 0, 1.0, 0.0))
