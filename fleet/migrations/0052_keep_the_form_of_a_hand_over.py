from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0051_let_look_at_another_shop")]

    operations = [
        migrations.AddField(
            model_name="handover",
            name="form_key",
            field=models.CharField(
                blank=True,
                help_text="of the form by which it was made; readings typed on it begin theirs"
                " with it",
                max_length=40,
            ),
        ),
    ]
