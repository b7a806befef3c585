"""Say every block on the database that is set, on the day that it was worked out for, as JSON.

python -m tests.releases.said_blocks: a process of its own, since Django keeps to one database.
"""

import json
import os


def main() -> None:
    """Print key -> sentence."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    import django  # noqa: PLC0415

    django.setup()
    from scheduling.models import Block  # noqa: PLC0415
    from scheduling.queries.said_blocks import said_blocks, with_causes  # noqa: PLC0415

    said: dict[int, str] = {}
    for block in with_causes(Block.objects.select_related("machine__now")):
        said |= said_blocks([block], block.machine.now.computed_for)
    print(json.dumps(said))  # noqa: T201


if __name__ == "__main__":
    main()
