"""Each person chooses the language of their pages; empty: as the browser asks."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("fleet", "0044_let_hands_sign_in"),
    ]

    operations = [
        migrations.AddField(
            model_name="person",
            name="language",
            field=models.CharField(
                blank=True,
                choices=[("en", "English"), ("es", "Español")],
                default="",
                editable=False,
                help_text="language of the pages; empty: as the browser asks",
                max_length=8,
            ),
        ),
    ]
