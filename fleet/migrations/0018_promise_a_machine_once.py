"""Two standing bookings of one machine never share a moment: kept by the database itself."""

from django.db import migrations, models

from fleet.migrations._never_twice import allow, forbid


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0017_fill_times_of_bookings'),
    ]

    operations = [
        migrations.AlterField(
            model_name='booking',
            name='starts_at',
            field=models.DateTimeField(editable=False),
        ),
        migrations.AlterField(
            model_name='booking',
            name='ends_at',
            field=models.DateTimeField(editable=False, help_text='with the turn-round of its class behind it'),
        ),
        migrations.AddIndex(
            model_name='booking',
            index=models.Index(fields=['machine', 'ends_at'], name='booking_by_end'),
        ),
        migrations.AddConstraint(
            model_name='booking',
            constraint=models.CheckConstraint(condition=models.Q(('ends_at__gte', models.F('starts_at'))), name='booking_ends_at_after_it_starts_at'),
        ),
        migrations.RunPython(
            lambda apps, schema_editor: forbid(schema_editor.connection),
            lambda apps, schema_editor: allow(schema_editor.connection),
        ),
    ]
