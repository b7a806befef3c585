"""Blocks are filled from what caused them, and hold until the next refresh makes them anew.

They are kept, not dropped: a machine that is held or past its limit must not go out meanwhile, and
a warning whose block was gone for a moment would be told again.
"""

from django.db import migrations

BATCH = 500
FIELDS = ["shop", "reach", "meter_kind", "past_by", "due_day", "works", "minutes", "begun"]


def fill(apps, schema_editor):
    """Fill the fields of all blocks, and let what is missing of a machine begin in lower case."""
    alias = schema_editor.connection.alias
    rows = apps.get_model("scheduling", "Block").objects.using(alias)
    batch = []
    for block in rows.select_related("due_point").order_by("pk").iterator(BATCH):
        FILLERS[block.kind](block, apps, alias)
        batch.append(block)
        if len(batch) == BATCH:
            rows.bulk_update(batch, FIELDS)
            batch = []
    rows.bulk_update(batch, FIELDS)
    _lower_what_is_missing(apps, alias)


def _nothing(block, apps, alias):
    """A hold says all by itself, and so does a service of a machine that stood too long."""


def _limit(block, apps, alias):
    point = block.due_point
    if point is None:
        return
    block.meter_kind = point.meter_kind
    states = apps.get_model("scheduling", "MachineState").objects.using(alias)
    state = states.filter(machine=block.machine_id).first()
    near = state is not None and block.first_day <= state.computed_for
    block.reach = "past" if point.state == "overdue" else "perhaps" if near else "ahead"


def _overdue(block, apps, alias):
    point = block.due_point
    if point is None:
        return
    block.meter_kind, block.due_day = point.meter_kind, point.due_day
    if point.life_now is not None and point.closes_life is not None:
        past = point.life_now - point.closes_life
        block.past_by = past if past > 0 else None


def _falls_due(block, apps, alias):
    points = apps.get_model("scheduling", "DuePoint").objects.using(alias)
    works = apps.get_model("scheduling", "PlannedWork").objects.using(alias)
    planned = dict(
        works.filter(machine=block.machine_id, job__isnull=False, service__isnull=False)
        .order_by("-job__day")
        .values_list("service", "job__day")
    )
    due = points.filter(machine=block.machine_id, p50__lte=block.last_day)
    block.works = [
        {
            "service": point.service_id,
            "day": point.p50.isoformat(),
            "planned": planned[point.service_id].isoformat()
            if point.service_id in planned
            else None,
        }
        for point in due.select_related("service").order_by("p50", "pk")
        if point.hard or point.service.blocks_rental
    ]


def _in_shop(block, apps, alias):
    jobs = apps.get_model("scheduling", "PlannedJob").objects.using(alias)
    works = apps.get_model("scheduling", "PlannedWork").objects.using(alias)
    jobs = jobs.filter(machine=block.machine_id).select_related("plan").order_by("day")
    for job in jobs:
        if block.last_day in (job.last_day or job.day, None):
            block.shop_id, block.minutes = job.plan.shop_id, job.minutes
            block.begun = works.filter(job=job, begun=True).exists()
            return


FILLERS = {
    "hold": _nothing,
    "idle": _nothing,
    "limit": _limit,
    "overdue": _overdue,
    "falls": _falls_due,
    "shop": _in_shop,
}


def _lower_what_is_missing(apps, alias):
    rows = apps.get_model("scheduling", "MachineState").objects.using(alias).exclude(missing="")
    for pk, missing in list(rows.values_list("pk", "missing")):
        rows.filter(pk=pk).update(missing=missing[:1].lower() + missing[1:])


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0007_give_blocks_values_for_their_cause")]

    operations = [migrations.RunPython(fill)]
