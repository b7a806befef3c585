"""How long to wait after wrong sign-ins: by person and address, by person, by address; pure.

Ten wrong ones of one name from one address shut that name there, and only there, for a quarter of
an hour.  Many of one name from everywhere, or of many names from one address, are slowed: each
further try waits twice as long, up to a limit.  A name that has signed in well from an address
before is never slowed there by what others do: nobody shuts somebody out from elsewhere.  The
numbers are our judgement.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

SHUT_AFTER = 10
SHUT_FOR = timedelta(minutes=15)
SLOWED_AFTER = 20
COUNTED_FOR = timedelta(hours=1)
LONGEST_WAIT = timedelta(minutes=5)
NONE = timedelta(0)


@dataclass(frozen=True)
class WrongTries:
    """When tries went wrong: of this name from here, of it from everywhere, of all names from here.

    known: whether the name has signed in well from here before.
    """

    here: Sequence[datetime]
    of_name: Sequence[datetime]
    from_here: Sequence[datetime]
    known: bool = False


def wait_after(wrong: WrongTries, now: datetime) -> timedelta:
    """Return how long the next try has to wait; nothing: it may come now."""
    waits = [_shut(wrong.here, now)]
    if not wrong.known:
        waits += [_slowed(wrong.of_name, now), _slowed(wrong.from_here, now)]
    return max(waits)


def _shut(tries: Sequence[datetime], now: datetime) -> timedelta:
    fresh = [at for at in tries if now - at < SHUT_FOR]
    return max(fresh) + SHUT_FOR - now if len(fresh) >= SHUT_AFTER else NONE


def _slowed(tries: Sequence[datetime], now: datetime) -> timedelta:
    fresh = [at for at in tries if now - at < COUNTED_FOR]
    over = len(fresh) - SLOWED_AFTER
    if over < 0:
        return NONE
    asked = min(timedelta(seconds=2.0 ** min(over, 20)), LONGEST_WAIT)
    return max(max(fresh) + asked - now, NONE)


def say_wait(wait: timedelta) -> str:
    """Say a wait as people do, rounded up."""
    seconds = -(-wait // timedelta(seconds=1))
    if seconds <= 1:
        return "a second"
    if seconds < 90:
        return f"{seconds} seconds"
    minutes = -(-seconds // 60)
    return "a quarter of an hour" if minutes == 15 else f"{minutes} minutes"
