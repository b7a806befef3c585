"""Loaded by Python itself at the start of each of the site's processes whose clock is to be ahead.

The program reads its clock in one way, `django.utils.timezone.now`, so this alone is moved, by the
seconds of TESTED_AHEAD, and time goes on from there.  Cookies and files keep the real time, which
is the browser's too.  It stands here, since a program that people run has no such switch.
"""

import os
from datetime import timedelta

from django.utils import timezone

AHEAD = timedelta(seconds=float(os.environ["TESTED_AHEAD"]))
real_now = timezone.now


def now_ahead():
    """Return the time that it is to be."""
    return real_now() + AHEAD


timezone.now = now_ahead
