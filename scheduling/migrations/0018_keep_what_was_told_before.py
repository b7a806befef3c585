"""What the letters of old told still stands: each open one told one cause, its own."""

from django.db import migrations


def keep(apps, schema_editor):
    notices = apps.get_model("scheduling", "Notice").objects.using(schema_editor.connection.alias)
    told = apps.get_model("scheduling", "ToldRisk").objects.using(schema_editor.connection.alias)
    fields = ("pk", "booking_id", "service_id", "hold_id", "block_kind")
    rows = notices.filter(kind="risk", over_at=None, booking__isnull=False).exclude(block_kind="")
    model = told.model
    made = (
        model(notice_id=pk, booking_id=booking, service_id=service, hold_id=hold, block_kind=kind)
        for pk, booking, service, hold, kind in rows.values_list(*fields).iterator()
    )
    told.bulk_create(list(made), batch_size=500)


class Migration(migrations.Migration):

    dependencies = [
        ("scheduling", "0017_keep_what_letters_told"),
    ]

    operations = [
        migrations.RunPython(keep, migrations.RunPython.noop),
    ]
