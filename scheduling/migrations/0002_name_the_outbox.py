"""What is owed by the worker stands in the outbox: the table and its index get that name."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0001_consequences")]

    operations = [
        migrations.RenameModel("Errand", "OutboxEntry"),
        migrations.RenameIndex("OutboxEntry", new_name="entry_owed", old_name="errand_owed"),
        migrations.AlterField(
            "OutboxEntry",
            "key",
            models.CharField(
                help_text="what makes it the same entry", max_length=160, unique=True
            ),
        ),
        migrations.AlterField(
            "Trial",
            "changes",
            models.JSONField(help_text="list of changes, see scheduling.trial.changes"),
        ),
    ]
