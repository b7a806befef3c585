"""What a manager is told of the nights: how they went, what is owed, and the copies of the site."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, Min

from fleet.models import Person, Shop
from fleet.queries.mine import shops_of
from scheduling.models import KeptCopy, NightlyRun, OutboxEntry

SHOWN = 14
"""Nights of a shop, and copies of the site, that the page shows."""

STAGES = {
    "missed": "Lists of days that were missed",
    "refresh": "Forecasts, due points and blocks",
    "forecasts": "Forecasts kept and scored",
    "compliance": "Services done in time",
    "plan": "Plan of the shop days",
    "lists": "Lists kept, and what became of them",
    "notices": "Notices",
    "tidy": "Tidying",
}
"""Stage of a report -> what the page calls it."""


@dataclass(frozen=True)
class ToldStage:
    """One stage of a night: its name, how long it took, what went wrong."""

    name: str
    seconds: float
    failed: str


@dataclass(frozen=True)
class ToldNight:
    """One night; under_way: it has not ended, and `stage` says what it is at."""

    day: Any
    started_at: datetime
    seconds: float
    stages: Sequence[ToldStage]
    missing: Sequence[str]
    under_way: bool
    stage: str

    @property
    def faults(self) -> list[ToldStage]:
        """Return the stages that failed."""
        return [one for one in self.stages if one.failed]


@dataclass(frozen=True)
class ShopNights:
    """A shop with its last nights, newest first, and its night that is owed, if one is."""

    shop: Shop
    nights: Sequence[ToldNight]
    owed: OutboxEntry | None

    @property
    def last(self) -> ToldNight | None:
        """Return the latest one."""
        return self.nights[0] if self.nights else None

    @property
    def wrong(self) -> bool:
        """Whether the latest night failed, or waits for another try after a fault."""
        last = self.last
        return bool((last and last.faults) or (self.owed and self.owed.error))


@dataclass(frozen=True)
class OwedKind:
    """How many entries of a kind wait, and since when the oldest is due."""

    kind: str
    count: int
    since: datetime


def shop_with_nights(person: Person, pk: int) -> Shop | None:
    """Return one of a person's shops; None where it is none of theirs."""
    return shops_of(person).filter(pk=pk).first()


def nights_of(shops: Iterable[Shop]) -> list[ShopNights]:
    """Return the last nights of shops; two queries and one a shop."""
    waiting = OutboxEntry.objects.filter(
        kind=OutboxEntry.Kind.NIGHTLY, done_at=None, failed_at=None
    )
    owed = {entry.payload.get("shop"): entry for entry in waiting.order_by("-pk")}
    return [
        ShopNights(
            shop,
            [_told(run) for run in NightlyRun.objects.filter(shop=shop)[:SHOWN]],
            owed.get(shop.pk),
        )
        for shop in shops
    ]


def owed_by_kind(now: datetime) -> list[OwedKind]:
    """Return what is due and not done, by kind, oldest first: one query."""
    rows = OutboxEntry.objects.filter(due_at__lte=now, done_at=None, failed_at=None)
    counted = rows.values("kind").annotate(count=Count("pk"), since=Min("due_at"))
    labels = dict(OutboxEntry.Kind.choices)
    return [
        OwedKind(str(labels[row["kind"]]), row["count"], row["since"])
        for row in counted.order_by("since")
    ]


def last_copies() -> Sequence[KeptCopy]:
    """Return the latest copies of the site, newest first."""
    return list(KeptCopy.objects.all()[:SHOWN])


def _told(run: NightlyRun) -> ToldNight:
    stages = run.report.get("stages", {}) if run.finished_at else {}
    return ToldNight(
        day=run.day,
        started_at=run.started_at,
        seconds=run.report.get("seconds", 0),
        stages=[
            ToldStage(STAGES.get(name, name), counts.get("seconds", 0), counts.get("failed", ""))
            for name, counts in stages.items()
        ],
        missing=run.report.get("missing", []),
        under_way=run.finished_at is None,
        stage=run.stage,
    )
