"""The sweep's part in letting plans follow the facts: what changed of machines since a look.

Pages that change facts have their machines worked out at once; that their plan is looked at again
can wait for the sweep, and no page waits for it.
"""

from datetime import datetime, timedelta

from fleet.models import Machine
from scheduling.outbox.looks import looked_at, owe_looks, refreshed
from scheduling.plan.strayed_work import drop_strayed


def follow_facts(now: datetime) -> int:
    """Owe a look to each shop whose machines changed since its plan was last looked at.

    Work of machines that are no longer a shop's leaves its plan.  Five queries, however many
    machines, and more only where a look is owed; it waits no longer, as the sweep comes seldom.
    """
    since = looked_at(now)
    latest = refreshed(now) if since else {}
    if not latest:
        return 0
    homes = Machine.objects.filter(pk__in=latest).values_list("pk", "yard__shop")
    shops = {shop for pk, shop in homes.iterator() if shop in since and latest[pk] > since[shop]}
    shops |= drop_strayed(latest, now)
    return owe_looks(shops, now, timedelta()) if shops else 0
