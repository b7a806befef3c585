"""Each cause, person and round has one notice; the key that said so in a string goes."""

import uuid

from django.db import migrations, models

ONCE = {
    "notice_once_a_day": ["day", "shop", "kind", "person", "round"],
    "notice_once_a_release": ["release", "person", "round"],
    "notice_once_an_undelivered": ["about", "person", "round"],
    "notice_once_a_booked_service": ["booking", "service", "block_kind", "person", "round"],
    "notice_once_a_booked_hold": ["booking", "hold", "block_kind", "person", "round"],
}


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0004_fill_the_causes_of_notices")]

    operations = [
        migrations.RemoveField("Notice", "key"),
        migrations.AlterField(
            "Notice",
            "mark",
            models.UUIDField(
                default=uuid.uuid4, help_text="names the message for good", unique=True
            ),
        ),
        *[
            migrations.AddConstraint("Notice", models.UniqueConstraint(fields=fields, name=name))
            for name, fields in ONCE.items()
        ],
    ]
