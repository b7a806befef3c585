"""How a run is steered and watched: its limits, its stopwatch, its tuning, and what it tells.

Nothing here knows what is planned.  `RunLimits` is what a caller asks for, `Watch` the stopwatch
that every step of a run looks at, `Tuning` the constants of judgement, and `Reporter` and `Board`
carry the progress of each yard to whoever shows it.
"""

from .run_progress import PAUSE, Board, Report, Reporter, RunProgress, Stage, Tell, silent
from .search_tuning import Tuning
from .watch import SPARE, RunLimits, Watch

__all__ = [
    "PAUSE",
    "SPARE",
    "Board",
    "Report",
    "Reporter",
    "RunLimits",
    "RunProgress",
    "Stage",
    "Tell",
    "Tuning",
    "Watch",
    "silent",
]
