"""Which kept forecasts count.

A forecast counts once its 120 days are over, for one year.  Not sooner: of the latest ones only the
quick have come true, and a share taken of those would look worse and earlier than all.
"""

from datetime import date, timedelta

from django.db.models import QuerySet

from scheduling.core.forecast import HORIZON
from scheduling.models import KeptForecast

RIPE = HORIZON + 1
"""Days after which nothing that was said can still come true."""

A_YEAR = 365
"""Days of forecasts that count."""

KEPT_DAYS = 520
"""Days after which a kept forecast is deleted: a year, 121 days, and a month to spare."""

JUDGED = (
    KeptForecast.Outcome.EARLIER, KeptForecast.Outcome.INSIDE, KeptForecast.Outcome.LATER,
)  # fmt: skip
"""Outcomes that are known."""


def year_judged(today: date) -> tuple[date, date]:
    """Return the first and the last day on which a forecast that counts today was made."""
    last = today - timedelta(days=RIPE)
    return last - timedelta(days=A_YEAR - 1), last


def of_that_year(rows: QuerySet[KeptForecast], today: date) -> QuerySet[KeptForecast]:
    """Return the forecasts made in the year that counts, settled or not."""
    return rows.filter(made_on__range=year_judged(today))


def judged_forecasts(rows: QuerySet[KeptForecast], today: date) -> QuerySet[KeptForecast]:
    """Return the forecasts that count: made in that year, and their truth is known."""
    return of_that_year(rows, today).filter(outcome__in=JUDGED).order_by("pk")


def forget_old(today: date) -> int:
    """Delete forecasts that are too old to count; returns how many."""
    old = KeptForecast.objects.filter(made_on__lt=today - timedelta(days=KEPT_DAYS))
    return old.delete()[0]
