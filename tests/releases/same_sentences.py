"""Whether a block says, from the values that a migration gave it, what its sentence said."""

import re
from collections.abc import Iterator, Mapping

from tests.releases.restored import Rows

NEW_WORDS = (("stood too long", "sat too long"),)
"""Words of a sentence in a release, and what has been said in their place since."""

BEGUN = re.compile(
    r"It (?:is booked out already|has gone out already|(?:is|was) to go out .+): "
    r"(?:have it brought in, or swap the machine|do the work first, or give .+ machine)\."
)
"""What is said of a booking that has begun: all alike in 0.1.0, since then as it was handed over.

`tests/scheduling/due/test_booked_blocks.py` holds which is said when.
"""

OVERDUE = re.compile(r"overdue by [\d,.]+")
"""How far something is overdue: from the end of its window in 0.1.0, since then from its due point.

`tests/scheduling/due/test_sentences.py` holds how much is said.
"""


def other_sentences(then: dict[str, Rows], now: Mapping[str, str]) -> Iterator[str]:
    """Say which blocks of a release with sentences say something else now; now: by key."""
    for key, row in then.get("scheduling_block", {}).items():
        if "sentence" in row and _plain(row["sentence"]) != _plain(now[str(key)]):
            yield f"block {key} said {row['sentence']!r} and says {now[str(key)]!r}"


def _plain(sentence: str) -> str:
    """Return a sentence in today's words; the full stop of a hold's reason is ours since."""
    for old, new in NEW_WORDS:
        sentence = sentence.replace(old, new)
    sentence = BEGUN.sub("It has begun.", sentence)
    sentence = OVERDUE.sub("overdue by some", sentence)
    return sentence.removesuffix(".")
