"""What a service covered everywhere it covers on each make-up that has both of the two.

A make-up has a service if it, or a machine of it, has an interval of it.  What only limits or
findings call for recurs nowhere and may come up on any make-up.
"""

from django.db import migrations


def fill(apps, schema_editor):
    """Write a row for each make-up and pair; few queries, however large the fleet."""
    alias = schema_editor.connection.alias
    service = apps.get_model("fleet", "Service")
    direct = {}
    rows = service.covers.through.objects.using(alias)
    for upper, lower in rows.values_list("from_service_id", "to_service_id"):
        direct.setdefault(upper, set()).add(lower)
    if not direct:
        return
    has, called = _has(apps, alias), _called(apps, alias)
    recurs = set().union(*has.values())
    anywhere = called - recurs
    pairs = {upper: _reached(upper, direct) for upper in direct}
    covering = apps.get_model("fleet", "Covering")
    covering.objects.using(alias).bulk_create(
        [
            covering(makeup_id=makeup, service_id=upper, covered_id=lower)
            for makeup, services in sorted(has.items())
            for upper in sorted(pairs)
            if upper in services or upper in anywhere
            for lower in sorted(pairs[upper])
            if lower in services or lower in called
        ],
        batch_size=2000,
    )


def _has(apps, alias):
    """Return make-up -> services that recur on it, or on one of its machines."""
    interval = apps.get_model("fleet", "Interval").objects.using(alias)
    has = {pk: set() for pk in apps.get_model("fleet", "MakeUp").objects.using(alias).values_list("pk", flat=True)}
    own = interval.filter(machine__isnull=False).values_list("machine__makeup", "service").distinct()
    for rows in (interval.filter(makeup__isnull=False).values_list("makeup", "service"), own):
        for makeup, service in rows:
            has[makeup].add(service)
    return has


def _called(apps, alias):
    """Return the services that limits or findings call for."""
    found = set()
    for model, field in (("Limit", "then_id"), ("Finding", "calls_for_id")):
        rows = apps.get_model("fleet", model).objects.using(alias)
        found |= set(rows.exclude(**{field: None}).order_by().values_list(field, flat=True).distinct())
    return found


def _reached(service, direct):
    found, ahead = set(), [service]
    while ahead:
        fresh = direct.get(ahead.pop(), set()) - found
        found |= fresh
        ahead += fresh
    return found - {service}


class Migration(migrations.Migration):

    dependencies = [("fleet", "0019_keep_coverings_by_make_up")]

    operations = [migrations.RunPython(fill)]
