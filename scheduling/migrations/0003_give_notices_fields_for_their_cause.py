"""A notice gets fields for what its key told in one string; the next step fills them."""

import django.db.models.deletion
from django.db import migrations, models

CAUSES = [
    ("hold", "held"),
    ("overdue", "service overdue"),
    ("limit", "hard limit"),
    ("falls", "falls due while out"),
    ("shop", "in the shop"),
    ("idle", "stood too long"),
]


def key_to(model):
    """Return a reference that is emptied when its row goes."""
    return models.ForeignKey(
        null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=model
    )


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0002_name_the_outbox"), ("fleet", "0001_facts")]

    operations = [
        migrations.AddField(
            "Notice", "day", models.DateField(help_text="of the summary or the list", null=True)
        ),
        migrations.AddField("Notice", "release", key_to("fleet.release")),
        migrations.AddField(
            "Notice",
            "about",
            models.ForeignKey(
                help_text="what was not delivered",
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to="scheduling.notice",
            ),
        ),
        migrations.AddField(
            "Notice",
            "block_kind",
            models.CharField(blank=True, choices=CAUSES, default="", max_length=8),
            preserve_default=False,
        ),
        migrations.AddField("Notice", "service", key_to("fleet.service")),
        migrations.AddField("Notice", "hold", key_to("fleet.hold")),
        migrations.AddField(
            "Notice",
            "round",
            models.PositiveIntegerField(
                default=0, help_text="how often the same cause had come and gone before"
            ),
        ),
        migrations.AddField(
            "Notice", "mark", models.UUIDField(help_text="names the message for good", null=True)
        ),
        migrations.AlterField(
            "Notice",
            "over_at",
            models.DateTimeField(
                help_text="when the cause was gone; the same again is a new round", null=True
            ),
        ),
    ]
