"""Which shelf each piece of work is supplied from: that of its named part, or of its substitute.

Work that waits for a part although what does in its place lies on the shelf is late for nothing;
and a shelf that two pieces of work count on lets one of them down on its day.  `share_out` settles
both at once, the same way wherever it is asked.
"""

from scheduling.core.substitution.share_out import PartWant, Served, share_out
from scheduling.core.substitution.supplies import ShelfSupply

__all__ = ["PartWant", "Served", "ShelfSupply", "share_out"]
