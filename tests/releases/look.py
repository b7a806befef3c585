"""Open every page on the database that is set, as on the day of the dumps; print what is wrong.

python -m tests.releases.look: a process of its own, since Django keeps to one database.
"""

import json
import os


def main() -> None:
    """Print the faults, the pages that could not be tried, and how many were seen, as JSON."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    import django  # noqa: PLC0415

    django.setup()
    from django.utils import timezone  # noqa: PLC0415

    from tests.every_page import open_every_page  # noqa: PLC0415
    from tests.releases.make import NOW  # noqa: PLC0415

    timezone.now = lambda: NOW
    found = open_every_page()
    print(  # noqa: T201
        json.dumps({"faults": found.faults, "unseen": found.unseen, "seen": len(found.seen)})
    )


if __name__ == "__main__":
    main()
