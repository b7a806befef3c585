"""A block gets fields for what its sentence told; the next step fills them."""

import django.db.models.deletion
from django.db import migrations, models

METERS = [("hours", "Hour meter"), ("distance", "Odometer"), ("cycles", "Cycle counter")]
REACH = [
    ("past", "past it"),
    ("perhaps", "perhaps past it: a reading can tell"),
    ("ahead", "may reach it on the first day"),
]


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0006_say_it_plainly")]

    operations = [
        migrations.AddField(
            "Block",
            "shop",
            models.ForeignKey(
                help_text="where it stands",
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="+",
                to="fleet.shop",
            ),
        ),
        migrations.AddField(
            "Block",
            "reach",
            models.CharField(blank=True, choices=REACH, default="", max_length=8),
            preserve_default=False,
        ),
        migrations.AddField(
            "Block",
            "meter_kind",
            models.CharField(blank=True, choices=METERS, default="", max_length=8),
            preserve_default=False,
        ),
        migrations.AddField(
            "Block",
            "past_by",
            models.FloatField(
                help_text="hours, metres or cycles past the end of the window", null=True
            ),
        ),
        migrations.AddField(
            "Block",
            "due_day",
            models.DateField(help_text="of what is overdue by the calendar", null=True),
        ),
        migrations.AddField(
            "Block",
            "works",
            models.JSONField(
                default=list,
                help_text="services that fall due while out: list of {service, day, planned}, "
                "days in ISO",
            ),
        ),
        migrations.AddField(
            "Block",
            "minutes",
            models.PositiveIntegerField(default=0, help_text="of work in the shop"),
        ),
        migrations.AddField(
            "Block",
            "begun",
            models.BooleanField(default=False, help_text="the work is under way"),
        ),
    ]
