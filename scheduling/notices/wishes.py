"""When a letter may go: what its reader chose for its kind, and their quiet hours; pure.

Letters on safety (a hold, a decision against a block, a booked machine that may not go out) cannot
be switched off or put off: they can go to somebody else.
"""

from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo

from scheduling.models import LetterChoice, Notice

How = LetterChoice.How
SAFETY = frozenset(
    {Notice.Kind.HELD, Notice.Kind.OVERRIDE, Notice.Kind.AT_RISK, Notice.Kind.UNANSWERED}
)
"""Kinds that are never switched off."""
ALWAYS = frozenset({Notice.Kind.DIGEST, Notice.Kind.UNDELIVERED, Notice.Kind.PASSWORD})
"""Kinds that nobody chooses: what was chosen already, that something could not be sent, and what
somebody waits for before the sign-in page."""
NEVER_PUT_OFF = SAFETY | {Notice.Kind.PASSWORD}
"""Kinds that quiet hours do not hold back."""
MORNING_AT = time(6)
"""When the letter of the morning comes, where nobody said otherwise (our judgement)."""


@dataclass(frozen=True)
class Wish:
    """What one person wants for one kind of letter; times of the shop's clock."""

    how: str = How.AT_ONCE
    morning_at: time = MORNING_AT
    quiet_from: time | None = None
    quiet_to: time | None = None


def may_be_off(kind: str) -> bool:
    """Whether a kind of letter can be switched off or left to the morning."""
    return kind not in SAFETY and kind not in ALWAYS


def goes_at(kind: str, wish: Wish, made_at: datetime, now: datetime, zone: tzinfo) -> datetime:
    """Return the moment from which a letter may go; now or earlier: at once.

    The letter of the morning goes at the first such hour after it was written.  Quiet hours hold
    everything back but what is of safety.
    """
    if kind in NEVER_PUT_OFF:
        return now
    if wish.how == How.MORNING and may_be_off(kind):
        return _next(made_at.astimezone(zone), wish.morning_at)
    local = now.astimezone(zone)
    if wish.quiet_from and wish.quiet_to and _within(local.time(), wish.quiet_from, wish.quiet_to):
        return _next(local, wish.quiet_to)
    return now


def _within(hour: time, first: time, last: time) -> bool:
    """Whether an hour lies between two, over midnight too."""
    return first <= hour < last if first <= last else hour >= first or hour < last


def _next(local: datetime, hour: time) -> datetime:
    """Return the next moment at which the clock on the wall shows an hour."""
    day = local.date() if local.time() < hour else local.date() + timedelta(days=1)
    return datetime.combine(day, hour, tzinfo=local.tzinfo)
