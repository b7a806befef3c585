"""An act of several steps in one transaction, of which a refusal undoes the last alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.db import transaction

from fleet.refusal import Refusal

_inside = ContextVar("whether an act in steps is under way", default=False)


@contextmanager
def in_steps() -> Iterator[None]:
    """Hold one transaction around steps; a refusal leaves it when what went before is kept.

    For facts that stand whatever becomes of the rest of the act, such as a reading of a machine
    that then may not go out.  Each step that writes must be an action with a transaction of its
    own, which is a savepoint in this one, or steps like this; any other error undoes the whole act.
    """
    refused = None
    # steps inside steps never roll back by themselves, so they need no savepoint
    with transaction.atomic(savepoint=not _inside.get()):
        before = _inside.set(True)
        try:
            yield
        except Refusal as no:
            refused = no
        finally:
            _inside.reset(before)
    if refused:
        raise refused
