"""Services done in time over twelve months, as the last nightly run counted them."""

from datetime import date, datetime
from typing import Any

from fleet.charts import MonthShare
from fleet.models import Shop
from scheduling.hindsight.service_compliance import OnTimeYear, last_months
from scheduling.models import NightlyRun

STAGE = "compliance"
"""Stage of the nightly run that keeps the counts in its report."""


def compliance(shop: Shop, now: datetime, run: NightlyRun | None) -> list[MonthShare]:
    """Return the last twelve months of a shop's last run; where none ever came, none was done."""
    kept = run.report.get("stages", {}).get(STAGE, {}).get("months", []) if run else []
    counted = {date.fromisoformat(first): (in_time, done) for first, in_time, done in kept}
    months = last_months(now.astimezone(shop.zone).date())
    return [MonthShare(first, *counted.get(first, (0, 0))) for first in months]


def counted_since(run: NightlyRun | None) -> date | None:
    """Return from which day services are counted, as the nightly run found it; None for none."""
    stages = run.report.get("stages", {}) if run else {}
    since = stages.get(STAGE, {}).get("since")
    return date.fromisoformat(since) if since else None


def as_counts(year: OnTimeYear) -> dict[str, Any]:
    """Return a year as the nightly run keeps it: first day, on time, done of each month; since."""
    return {
        "months": [(m.month.isoformat(), m.on_time, m.done) for m in year.months],
        "since": year.since.isoformat() if year.since else None,
    }
