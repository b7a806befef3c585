"""What the keys of notices told is written into fields; nothing is told twice after it.

A key was one of

    morning:SHOP:DAY:PERSON          list:SHOP:DAY:PERSON
    changed:RELEASE:PERSON           undelivered:NOTICE:PERSON
    risk:BOOKING:WORK:KIND:TIMES:PERSON

where WORK was `s:TAG:CODE` (a tag may hold colons, a code does not) or `h:HOLD`.
"""

from datetime import date
from hashlib import sha256
from uuid import UUID

from django.db import migrations

BATCH = 500
FIELDS = ["day", "release", "about", "booking", "block_kind", "service", "hold", "round", "mark"]


def fill(apps, schema_editor):
    """Fill the fields of all notices."""
    alias = schema_editor.connection.alias
    known = _Known(apps, alias)
    rows = apps.get_model("scheduling", "Notice").objects.using(alias)
    batch, taken = [], set()
    for notice in rows.order_by("pk").iterator(BATCH):
        read(notice, known)
        number_round(notice, taken)
        batch.append(notice)
        if len(batch) == BATCH:
            rows.bulk_update(batch, FIELDS)
            batch = []
    rows.bulk_update(batch, FIELDS)


class _Known:
    """What keys may refer to: rows that have gone since are not referred to."""

    def __init__(self, apps, alias):
        def keys(app, model):
            rows = apps.get_model(app, model).objects.using(alias)
            return set(rows.values_list("pk", flat=True))

        services = apps.get_model("fleet", "Service").objects.using(alias)
        self.services = dict(services.values_list("code", "pk"))
        self.holds = keys("fleet", "Hold")
        self.releases = keys("fleet", "Release")
        self.notices = keys("scheduling", "Notice")


def read(notice, known):
    """Write what a notice's key tells into its fields."""
    notice.mark = UUID(hex=sha256(notice.key.encode()).hexdigest()[:32])
    what, _, rest = notice.key.partition(":")
    if what in ("morning", "list"):
        notice.day = date.fromisoformat(rest.split(":")[1])
    elif what == "changed":
        notice.release_id = _there(rest.split(":")[0], known.releases)
    elif what == "undelivered":
        notice.about_id = _there(rest.split(":")[0], known.notices)
    elif what == "risk":
        _, _, rest = rest.partition(":")
        work, notice.block_kind, times, _ = rest.rsplit(":", 3)
        notice.round = int(times)
        sort, _, name = work.partition(":")
        if sort == "s":
            notice.service_id = known.services.get(name.rpartition(":")[2])
        elif sort == "h":
            notice.hold_id = _there(name, known.holds)


def _there(key, keys):
    """Return a key that is among those known, else None."""
    return int(key) if int(key) in keys else None


def number_round(notice, taken):
    """Make the round of a warning free: a machine that was renamed had the same warning twice."""
    if notice.service_id is None and notice.hold_id is None:
        return

    def cause():
        return (
            notice.booking_id, notice.service_id, notice.hold_id, notice.block_kind,
            notice.person_id, notice.round,
        )  # fmt: skip

    while cause() in taken:
        notice.round += 1
    taken.add(cause())


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0003_give_notices_fields_for_their_cause")]

    operations = [migrations.RunPython(fill)]
