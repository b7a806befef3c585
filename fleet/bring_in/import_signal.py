"""The signal that a file is too large to be read while a person waits: a worker is to do it."""

from django.dispatch import Signal

import_owed = Signal()
"""Sent with import_id, inside the transaction that makes it owed."""
