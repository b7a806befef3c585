"""The site's Celery application, whose processes write down when they mark a letter as sent.

Started by `kill_workers` as `celery -A tests.benchmarks.told_worker worker`.
"""

import os

import django

from fleet.celery import app
from tests.benchmarks.letter_kills import TRACE, trace_marks

__all__ = ["app"]

django.setup()
trace_marks(os.environ[TRACE])
