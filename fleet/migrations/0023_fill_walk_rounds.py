"""Classes that are there already get the walk-round of the kind that their name speaks of."""

from django.db import migrations

from fleet.walk_round_library import kind_of_class


def fill(apps, schema_editor):
    """Write the library's points for each class; the shop makes them its own."""
    Point = apps.get_model("fleet", "WalkRoundPoint")
    rows = []
    for machine_class in apps.get_model("fleet", "MachineClass").objects.all():
        for position, point in enumerate(kind_of_class(machine_class.name).points, start=1):
            rows.append(
                Point(
                    machine_class=machine_class, position=position, words=point.words,
                    safety=point.safety, key=point.key, source=point.source,
                )
            )  # fmt: skip
    Point.objects.bulk_create(rows)


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0022_walk_round_by_class'),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
