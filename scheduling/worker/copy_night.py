"""The night's copy of the site: made, read back, kept for some days, then let go.

It is of the whole site and not of a shop, so it is owed once a day, when the first shop's night
has come.
"""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings

from fleet.back_up.make_copy import make_copy, read_back
from fleet.back_up.site_place import this_site
from fleet.back_up.store import CannotCopyError
from fleet.models import Shop
from scheduling.models import KeptCopy, OutboxEntry
from scheduling.outbox.entries import owe
from scheduling.worker.night_hours import night_of


def owe_copy(now: datetime) -> bool:
    """Owe the copy of the latest night; False where there is one, or none is wanted."""
    shop = Shop.objects.order_by("pk").first()
    if shop is None or not settings.BACK_UP_DAYS:
        return False
    key = f"copy:{night_of(shop, now)}"
    if OutboxEntry.objects.filter(key=key).exists():
        return False
    owe(key, OutboxEntry.Kind.COPY, {}, now, now)
    return True


def keep_copy(now: datetime) -> str:
    """Make a copy, read it back, let old ones go; return what went wrong, or nothing."""
    folder = Path(settings.BACK_UP_FOLDER)
    shop = Shop.objects.order_by("pk").first()
    day = night_of(shop, now) if shop else now.date()
    target = folder / f"evener-{day}.zip"
    kept: dict[str, Any] = {"made_at": now, "file": str(target), "error": "", "read_back_at": None}
    try:
        site = this_site()
        folder.mkdir(parents=True, exist_ok=True)
        make_copy(site, target, now)
        made = read_back(site, target)
        kept |= {"size": made.size, "rows": made.rows, "files": made.files, "read_back_at": now}
    except (CannotCopyError, OSError) as error:
        kept["error"] = str(error)[:500]
    KeptCopy.objects.update_or_create(day=day, defaults=kept)
    if not kept["error"]:
        let_go(now)
    return str(kept["error"])


def let_go(now: datetime) -> int:
    """Delete copies that were kept long enough, but never the last good one; return how many."""
    good = KeptCopy.objects.filter(read_back_at__isnull=False, removed_at=None)
    latest = good.order_by("-day").first()
    old = KeptCopy.objects.filter(
        made_at__lt=now - timedelta(days=settings.BACK_UP_DAYS), removed_at=None
    )
    gone = 0
    for copy in old.exclude(pk=latest.pk) if latest else old:
        Path(copy.file).unlink(missing_ok=True)
        gone += KeptCopy.objects.filter(pk=copy.pk).update(removed_at=now)
    return gone
