"""Several desks at once, long form: acts drawn by threads on a real database, and what must hold.

    createdb drawn && DATABASE_URL=postgres:///drawn python manage.py migrate
    DATABASE_URL=postgres:///drawn python -m tests.benchmarks.desk_drawn [CLIENTS ACTS ROUNDS SEED]

The database must be empty; each round has machines and people of its own.  Prints what was done and
refused, and what does not hold: machines promised twice, blocks without their fact, places that
answer otherwise than others.  Exit 1 where anything does not.
"""

import os
import sys
from datetime import UTC, datetime

import django

CLIENTS, ACTS, ROUNDS, SEED = 8, 40, 5, 1


def main(clients: int, acts: int, rounds: int, seed: int) -> int:
    """Live, look, print; return how many things do not hold."""
    from django.utils import timezone  # noqa: PLC0415

    from tests.properties.desk_histories import what_is_wrong  # noqa: PLC0415
    from tests.properties.test_desk_histories import asker, desk_of  # noqa: PLC0415

    wrong = 0
    for number in range(rounds):
        start = datetime.now(UTC)
        desk = desk_of(clients, start)
        timezone.now = desk.now
        desk.live(seed + number, acts)
        faults = what_is_wrong(desk, asker(desk))
        wrong += len(faults)
        said = ", ".join(f"{name} {n}" for name, n in sorted(desk.done.items()))
        sys.stdout.write(f"round {number + 1}: {said}\n")
        sys.stdout.writelines(f"  WRONG {one}\n" for one in faults)
    sys.stdout.write(f"{clients} clients, {acts} acts each, {rounds} rounds: {wrong} wrong\n")
    return wrong


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    os.environ.setdefault("ALLOWED_HOSTS", "testserver")
    django.setup()
    told = [int(word) for word in sys.argv[1:5]]
    sys.exit(bool(main(*(told + [CLIENTS, ACTS, ROUNDS, SEED][len(told) :]))))
