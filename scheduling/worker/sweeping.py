"""The sweep: each thing that is looked at by itself, one after the other, then the bell.

What goes wrong with one of them stops neither the others nor the bell.
"""

import logging
from collections.abc import Callable
from datetime import datetime

from scheduling.actions.first_plans import ask_first_plans
from scheduling.notices.late_letters import tell_of_late
from scheduling.notices.next_up import tell_next_up
from scheduling.notices.override_letters import tell_of_overrides
from scheduling.notices.site_news import tell_of_site
from scheduling.outbox import entries
from scheduling.plan.searches import close_left_open
from scheduling.worker.follow_facts import follow_facts

logger = logging.getLogger(__name__)

LOOKS: tuple[Callable[[datetime], object], ...] = (
    ask_first_plans,
    follow_facts,
    tell_of_overrides,
    tell_of_late,
    tell_next_up,
    tell_of_site,
    close_left_open,
)


def look_everywhere(now: datetime) -> int:
    """Take each look, then ring for what is owed; return for how many."""
    for look in LOOKS:
        try:
            look(now)
        except Exception:
            logger.exception("The look %s failed; it is taken again.", look.__name__)
    return entries.sweep(now)
