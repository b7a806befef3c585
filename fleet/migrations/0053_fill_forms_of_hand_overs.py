"""A hand-over whose reading was kept by an earlier press of its form is told which form that was."""

from django.db import migrations
from django.db.models import Count, F


def fill(apps, schema_editor):
    """Take it from readings at another moment that no other hand-over shows.

    A reading of another form is on a hand-over only where it was on record and said the same; then
    another hand-over, or another kind of page, took it.
    """
    HandOver, Reading = apps.get_model("fleet", "HandOver"), apps.get_model("fleet", "Reading")
    alone = Reading.objects.annotate(shown=Count("handover")).filter(shown=1)
    rows = alone.filter(source="counter", corrects=None, form_key__isnull=False)
    apart = rows.filter(read_at__lt=F("handover__at")).order_by("pk")
    keys = {}
    for row, key in apart.values_list("handover", "form_key"):
        keys.setdefault(row, key.rpartition("-")[0])
    for row, key in keys.items():
        HandOver.objects.filter(pk=row).update(form_key=key)


class Migration(migrations.Migration):
    dependencies = [("fleet", "0052_keep_the_form_of_a_hand_over")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
