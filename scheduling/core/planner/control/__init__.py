"""How a run is steered and watched: its limits, its stopwatch, its tuning, and what it tells.

Nothing here knows what is planned.  `Limits` is what a caller asks for, `Watch` the stopwatch that
every step of a run looks at, `Tuning` the constants of judgement, and `Teller` and `Board` carry
the progress of each yard to whoever shows it.
"""

from .progress import PAUSE, Board, Progress, Report, Tell, Teller, silent
from .tuning import Tuning
from .watch import SPARE, Limits, Watch

__all__ = [
    "PAUSE",
    "SPARE",
    "Board",
    "Limits",
    "Progress",
    "Report",
    "Tell",
    "Teller",
    "Tuning",
    "Watch",
    "silent",
]
