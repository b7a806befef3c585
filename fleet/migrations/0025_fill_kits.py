"""Classes that are there already get what their kind runs on, and what goes along with it."""

from django.db import migrations
from django.utils.text import slugify

from fleet.walk_round_library import kind_of_class

CODE_LENGTH = 50


def fill(apps, schema_editor):
    """Write accessories and cautions of the library; the shop makes them its own."""
    Accessory = apps.get_model("fleet", "Accessory")
    Caution = apps.get_model("fleet", "Caution")
    for machine_class in apps.get_model("fleet", "MachineClass").objects.all():
        kind = kind_of_class(machine_class.name)
        machine_class.runs_on = kind.runs_on
        machine_class.save(update_fields=["runs_on"])
        for position, words in enumerate(kind.accessories, start=1):
            Accessory.objects.create(machine_class=machine_class, words=words, position=position)
        for told in kind.cautions:
            code = f"hire-{slugify(told.text)}"[:CODE_LENGTH].strip("-")
            row, _ = Caution.objects.get_or_create(
                code=code,
                defaults={"signal": told.signal, "text": told.text, "source": told.source},
            )
            machine_class.cautions.add(row)


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0024_hand_over_more'),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
