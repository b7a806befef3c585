"""Planned work and trials name work by the numbers of its machine and service, as facts do now.

What a trial came to is renamed as well, but a trial that was worked out before is worked out again
before it can be published: the digest of the facts that it stands on holds the names too.
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
    work = apps.get_model("scheduling", "PlannedWork").objects.using(alias)
    rename_rows(work, renaming, once=("plan_id",), service="service_id")
    trials = apps.get_model("scheduling", "Trial").objects.using(alias)
    for pk in list(trials.values_list("pk", flat=True)):
        trial = trials.get(pk=pk)
        trial.changes = [_change(row, renaming) for row in trial.changes]
        trial.solution, trial.shown = renaming.inside(trial.solution), renaming.inside(trial.shown)
        trial.save(update_fields=["changes", "solution", "shown"])


def _change(row, renaming):
    """Return a change with its key renamed; it names its machine by number beside the key."""
    if not isinstance(row, dict) or not isinstance(row.get("work_key"), str):
        return row  # by hand, or of another kind
    return {**row, "work_key": renaming.of(row["work_key"], row.get("machine"))}


class Migration(migrations.Migration):

    dependencies = [
        ("scheduling", "0009_let_go_of_the_sentences_of_blocks"),
        ("fleet", "0003_name_work_by_rows"),
    ]

    operations = [migrations.RunPython(name_by_rows, name_by_tags)]
