"""A block's service that a bigger one covers is planned when that one is, at the end of its visit.

The migration that filled the causes of blocks looked for work of the very service alone.
"""

from django.db import migrations


def plan_the_covered(apps, schema_editor):
    """Set the days of services that another brings about, in blocks of bookings."""
    alias = schema_editor.connection.alias
    blocks = apps.get_model("scheduling", "Block").objects.using(alias).filter(kind="falls")
    covers = _covers(apps, alias)
    for block in blocks.order_by("pk").iterator(500):
        planned = _planned(apps, alias, block.machine_id, covers)
        works = [
            {**work, "planned": planned.get(work["service"], work["planned"])}
            for work in block.works
        ]
        if works != block.works:
            block.works = works
            block.save(update_fields=["works"])


def _covers(apps, alias):
    """Return service -> those that doing it satisfies, followed through."""
    service = apps.get_model("fleet", "Service")
    rows = service.covers.through.objects.using(alias)
    direct = {}
    for upper, lower in rows.values_list("from_service_id", "to_service_id"):
        direct.setdefault(upper, set()).add(lower)
    return {upper: _reached(upper, direct) for upper in direct}


def _reached(service, direct):
    found, ahead = set(), [service]
    while ahead:
        fresh = direct.get(ahead.pop(), set()) - found
        found |= fresh
        ahead += fresh
    return found


def _planned(apps, alias, machine, covers):
    """Return service -> the first day, in ISO, after which it counts as done by the plan."""
    rows = apps.get_model("scheduling", "PlannedWork").objects.using(alias)
    days = {}
    for service, day, last in rows.filter(
        machine=machine, job__isnull=False, service__isnull=False
    ).values_list("service", "job__day", "job__last_day"):
        done = (last or day).isoformat()
        for each in {service, *covers.get(service, ())}:
            days[each] = min(done, days.get(each, done))
    return days


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0010_name_planned_work_by_rows")]

    operations = [migrations.RunPython(plan_the_covered)]
