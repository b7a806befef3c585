"""Each booking that stands becomes a hire of its own, of a customer who is found by name.

The number of a hire is that of its booking, so that what a desk wrote on paper is found.  A
hundred thousand bookings take some seconds; nothing is loaded row by row but names.
"""

import re
import unicodedata

from django.core.management.color import no_style
from django.db import migrations
from django.db.models import F

BATCH = 2000
LONGEST_KEY = 160


def _name_key(text):
    """As `fleet.folded_names.name_key` was when this was written."""
    low = text.lower().replace("&", " and ").replace("+", " and ").replace("ß", "ss")
    bare = "".join(c for c in unicodedata.normalize("NFKD", low) if not unicodedata.combining(c))
    key = re.sub(r"[^a-z0-9\u0370-\uffff]+", "", bare)
    return (key or " ".join(text.casefold().split()))[:LONGEST_KEY]


def _customers(apps, bookings):
    """Make a customer of each name, and return name -> key of the row."""
    Customer = apps.get_model("fleet", "Customer")
    first = {}
    keys = {}
    rows = bookings.order_by("made_at", "pk").values_list("customer", "made_at")
    for name, made_at in rows.iterator(chunk_size=BATCH):
        if name not in keys:
            keys[name] = key = _name_key(name) or "?"
            first.setdefault(key, (name.strip() or "?", made_at))
    made = Customer.objects.bulk_create(
        (
            Customer(name=name, key=key, made_at=made_at)
            for key, (name, made_at) in first.items()
        ),
        batch_size=BATCH,
    )
    pks = {row.key: row.pk for row in made}
    return {name: pks[key] for name, key in keys.items()}


def give_hires(apps, schema_editor):
    """Make a hire of each booking that has none."""
    Booking, Hire = apps.get_model("fleet", "Booking"), apps.get_model("fleet", "Hire")
    bookings = Booking.objects.filter(hire=None)
    customers = _customers(apps, bookings)
    rows = bookings.order_by("pk").values_list("pk", "customer", "made_at", "made_by_id")
    batch = []
    for pk, customer, made_at, made_by in rows.iterator(chunk_size=BATCH):
        batch.append(
            Hire(pk=pk, customer_id=customers[customer], made_at=made_at, made_by_id=made_by)
        )
        if len(batch) == BATCH:
            Hire.objects.bulk_create(batch)
            batch = []
    Hire.objects.bulk_create(batch)
    bookings.update(hire=F("pk"))
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), [Hire]):
            cursor.execute(sql)


def nothing(apps, schema_editor):
    """Leave the hires; the migration before takes their tables away."""


class Migration(migrations.Migration):

    dependencies = [
        ("fleet", "0014_book_as_customers_do"),
    ]

    operations = [migrations.RunPython(give_hires, nothing)]
