"""Each booking is given the moments that its days mean in the yard where its machine lives now.

All of them are of whole days. One that came back ends with its return, or where the next one starts:
a late return used to reach into the next customer's days. Two that were promised for the same days
all the same, when that was possible, both stay as they are; the later made of them is marked, since
the database will refuse such a pair from now on.
"""

from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from django.db import migrations

EARLIEST, LATEST = date(1, 1, 3), date(9999, 12, 28)


def midnight(day, zone):
    return datetime.combine(min(max(day, EARLIEST), LATEST), time(), zone).astimezone(UTC)


def spans(rows, back):
    """Return (key, starts, ends, double) of the standing bookings of one machine."""
    timed = []
    for key, first, last, made_at, _, name in rows:
        zone = ZoneInfo(name)
        starts = midnight(first, zone)
        ends = midnight(min(last, LATEST) + timedelta(days=1), zone)
        if made_at.year > 1 and made_at.astimezone(zone).date() == first and made_at < ends:
            starts = made_at
        timed.append([starts, max(starts, back.get(key, ends)), key])
    timed.sort()
    for this, following in zip(timed, timed[1:]):
        if this[2] in back and this[1] > following[0]:
            this[1] = following[0]
    taken, found = [], []
    for starts, ends, key in sorted(timed, key=lambda one: one[2]):
        double = any(starts < end and ends > start for start, end in near(taken, ends))
        if not double:
            taken.append((starts, ends))
        found.append((key, starts, ends, double))
    return found


def near(taken, ends):
    return (one for one in taken if one[0] < ends)


def fill(apps, schema_editor):
    connection = schema_editor.connection
    using = connection.alias
    booking, handed = (apps.get_model("fleet", name) for name in ("Booking", "HandOver"))
    back = dict(
        handed._base_manager.using(using).filter(direction="back", struck_at=None)
        .values_list("booking", "at")
    )
    rows = booking._base_manager.using(using).order_by("machine", "pk").values_list(
        "pk", "first_day", "last_day", "made_at", "machine", "machine__yard__time_zone"
    )
    standing = [(machine, list(own)) for machine, own in groupby(
        rows.filter(cancelled_at=None), key=lambda row: row[4]
    )]
    off = [spans([row], {}) for row in rows.exclude(cancelled_at=None)]
    adapt = connection.ops.adapt_datetimefield_value
    found = [
        (adapt(starts), adapt(ends), double, key)
        for own in [*(spans(own, back) for _, own in standing), *off]
        for key, starts, ends, double in own
    ]
    if found:
        with connection.cursor() as cursor:
            cursor.executemany(
                "UPDATE fleet_booking SET starts_at=%s, ends_at=%s, stood_double=%s WHERE id=%s",
                found,
            )


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0016_give_bookings_times'),
    ]

    operations = [
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
