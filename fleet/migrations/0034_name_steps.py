"""Each step gets a name of its own, so that it stays the same step when it moves or is said anew."""

from django.db import migrations
from django.db.models import CharField, F, Value
from django.db.models.functions import Cast, Concat


def name_steps(apps, schema_editor):
    """Name each step by the place where it stands now."""
    apps.get_model("fleet", "ServiceStep").objects.filter(key="").update(
        key=Concat(Value("step-"), Cast(F("position"), CharField()))
    )


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0033_say_steps_as_data'),
    ]

    operations = [migrations.RunPython(name_steps, migrations.RunPython.noop)]
