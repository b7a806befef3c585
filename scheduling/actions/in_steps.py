"""An act of several steps in one transaction, of which a refusal undoes the last alone."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import transaction

from fleet.refusal import Refusal


@contextmanager
def in_steps() -> Iterator[None]:
    """Hold one transaction around steps; a refusal leaves it when what went before is kept.

    For facts that stand whatever becomes of the rest of the act, such as a reading of a machine
    that then may not go out.  Each step that writes must be an action with a transaction of its
    own, which is a savepoint in this one; any other error undoes the whole act.
    """
    refused = None
    with transaction.atomic():
        try:
            yield
        except Refusal as no:
            refused = no
    if refused:
        raise refused
