"""Figures of the site for whoever watches it: name, help, labels, value; no word of the fleet."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Count, Max, Min

from fleet.version import VERSION
from scheduling.models import KeptCopy, NightlyRun, Notice, OutboxEntry


@dataclass(frozen=True)
class Gauge:
    """One gauge; values by labels."""

    name: str
    help: str
    values: dict[tuple[tuple[str, str], ...], float] = field(default_factory=dict)


def site_figures(now: datetime) -> Iterator[Gauge]:
    """Yield the figures; six queries."""
    yield Gauge("evener_info", "Version of the program", {(("version", VERSION),): 1})
    yield from _owed(now)
    yield from _nights(now)
    yield from _letters()
    yield from _copies(now)


def _owed(now: datetime) -> Iterator[Gauge]:
    rows = OutboxEntry.objects.filter(due_at__lte=now, done_at=None, failed_at=None)
    found = {
        row["kind"]: row
        for row in rows.values("kind").annotate(
            n=Count("pk"), since=Min("due_at"), tries=Max("attempts")
        )
    }
    count: dict[tuple[tuple[str, str], ...], float] = {}
    oldest, tries = dict(count), dict(count)
    for kind in OutboxEntry.Kind.values:
        row, labels = found.get(kind), (("kind", str(kind)),)
        count[labels] = row["n"] if row else 0
        oldest[labels] = (now - row["since"]).total_seconds() if row else 0
        tries[labels] = row["tries"] if row else 0
    yield Gauge("evener_owed", "What is due and not done, by kind", count)
    yield Gauge("evener_owed_oldest_seconds", "How long the oldest of them is due", oldest)
    yield Gauge("evener_owed_tries", "Most tries of one of them", tries)


def _nights(now: datetime) -> Iterator[Gauge]:
    runs = NightlyRun.objects.filter(finished_at__isnull=False)
    good = runs.filter(report__ok=True)
    last = {row["shop"]: row["at"] for row in good.values("shop").annotate(at=Max("finished_at"))}
    seconds = {run.shop_id: run.report.get("seconds", 0) for run in runs.order_by("finished_at")}
    yield Gauge(
        "evener_night_age_seconds", "Since the last whole night of each shop, by its number",
        {(("shop", str(pk)),): (now - at).total_seconds() for pk, at in last.items()},
    )  # fmt: skip
    yield Gauge(
        "evener_night_seconds", "How long the last night of each shop took",
        {(("shop", str(pk)),): took for pk, took in seconds.items()},
    )  # fmt: skip


def _letters() -> Iterator[Gauge]:
    waiting = Notice.objects.filter(sent_at=None, failed_at=None, kept_here_at=None).count()
    failed = Notice.objects.exclude(failed_at=None).count()
    yield Gauge("evener_letters_waiting", "Letters that wait for the mail server", {(): waiting})
    yield Gauge("evener_letters_failed", "Letters that could not be sent", {(): failed})


def _copies(now: datetime) -> Iterator[Gauge]:
    good = KeptCopy.objects.filter(read_back_at__isnull=False).aggregate(at=Max("made_at"))["at"]
    if good:
        age = (now - good).total_seconds()
        yield Gauge("evener_copy_age_seconds", "Since the last copy that was read back", {(): age})
