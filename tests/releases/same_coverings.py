"""Whether doing a service counts, after an upgrade, as doing what it covered before.

Then a service covered others everywhere; now it does so on a make-up, of those that have both.
"""

from itertools import product

from tests.releases.restored import Rows

THEN, NOW = "fleet_service_covers", "fleet_covering"


def lost_coverings(then: dict[str, Rows], now: dict[str, Rows]) -> list[str]:
    """Say which pair of services of which make-up counts no more; empty: none."""
    standing = {
        (row["makeup_id"], row["service_id"], row["covered_id"])
        for row in now.get(NOW, {}).values()
    }
    has: dict[int, set[int]] = {}
    for row in then["fleet_interval"].values():
        if row["makeup_id"] is not None:
            has.setdefault(row["makeup_id"], set()).add(row["service_id"])
    pairs = {(row["from_service_id"], row["to_service_id"]) for row in then[THEN].values()}
    return [
        f"on make-up {makeup} service {upper} covered {lower}"
        for (makeup, services), (upper, lower) in product(has.items(), sorted(pairs))
        if {upper, lower} <= services and (makeup, upper, lower) not in standing
    ]
