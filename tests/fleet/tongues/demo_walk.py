"""Look for English on the Spanish pages of a loaded demo, which has more on them than a made shop.

    python -m tests.fleet.tongues.demo_walk [PART OF AN ADDRESS]

Opens every page that the demo's mechanic and a ranch hand may open, sends each form empty, and
tells what is left in English.  Nothing that it does stays.
"""

import os
import sys
import time


def main() -> None:
    """Walk the demo that is loaded."""
    import django  # noqa: PLC0415

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    from django.conf import settings  # noqa: PLC0415
    from django.db import transaction  # noqa: PLC0415

    from fleet.models import Person, Role  # noqa: PLC0415
    from tests.fleet.tongues.english_left import english_in  # noqa: PLC0415
    from tests.fleet.tongues.spanish_walk import opened  # noqa: PLC0415

    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    settings.CELERY_TASK_ALWAYS_EAGER = False
    part = sys.argv[1] if len(sys.argv) > 1 else ""
    begun, pages, told = time.monotonic(), 0, set[str]()
    for role in (Role.MECHANIC, Role.HAND):
        with transaction.atomic():
            person = Person.objects.filter(role=role, is_active=True).first()
            person = person or Person.objects.create(username="zz-hand", role=role)
            for (name, address, way), page in opened(person, part).items():
                pages += 1
                for said in english_in(page):
                    if said not in told:
                        told.add(said)
                        sys.stdout.write(f"{name} {way} {address}: {said}\n")
            transaction.set_rollback(True)
    took = time.monotonic() - begun
    sys.stdout.write(f"{len(told)} sentences in English on {pages} pages, {took:.0f} s\n")


if __name__ == "__main__":
    main()
