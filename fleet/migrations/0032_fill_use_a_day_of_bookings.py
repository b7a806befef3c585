"""What was said at a check-out about the use a day is kept on its booking, too."""

from django.db import migrations
from django.db.models import OuterRef, Subquery


def fill(apps, schema_editor):
    """Take it from the check-outs that stand."""
    Booking, HandOver = apps.get_model("fleet", "Booking"), apps.get_model("fleet", "HandOver")
    told = HandOver.objects.filter(direction="out", struck_at=None, hours_a_day__isnull=False)
    said = told.filter(booking=OuterRef("pk")).values("hours_a_day")[:1]
    Booking.objects.filter(pk__in=told.values("booking")).update(hours_a_day=Subquery(said))


class Migration(migrations.Migration):
    dependencies = [("fleet", "0031_keep_use_a_day_on_bookings")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
