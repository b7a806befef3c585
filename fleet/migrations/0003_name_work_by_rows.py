"""Work is named by the numbers of its machine and service; what people decided of it stays with it.

Pins, put-offs, estimates, work under way, kept lists and what was published hold such names.
"""

from django.db import migrations

from fleet.migrations._old_work_keys import Renaming, rename_rows


def name_by_rows(apps, schema_editor):
    """Rename all keys of work to those of today."""
    _rename(apps, schema_editor.connection.alias, back=False)


def name_by_tags(apps, schema_editor):
    """Rename all keys of work to those of the release before."""
    _rename(apps, schema_editor.connection.alias, back=True)


def _rename(apps, alias, back):
    renaming = Renaming(apps, alias, back)

    def rows(model):
        return apps.get_model("fleet", model).objects.using(alias)

    for model in ("Pin", "WorkEstimate"):
        rename_rows(rows(model).filter(lifted_at=None), renaming)
        rename_rows(rows(model).filter(lifted_at__isnull=False), renaming, once=("pk",))
    rename_rows(rows("PutOff"), renaming, once=("day",))
    rename_rows(rows("Progress"), renaming, once=("pk",))
    rename_rows(rows("KeptWork"), renaming, once=("kept_day_id",), service="service_id")
    for pk in list(rows("Release").values_list("pk", flat=True)):
        release = rows("Release").get(pk=pk)
        release.jobs = renaming.inside(release.jobs)
        release.save(update_fields=["jobs"])


class Migration(migrations.Migration):

    dependencies = [("fleet", "0002_say_it_plainly")]

    operations = [migrations.RunPython(name_by_rows, name_by_tags)]
