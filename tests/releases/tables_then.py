"""Run the migrations that had run at a release, and no other, on the database that is set.

python -m tests.releases.tables_then '[["fleet", "0001_facts"], ...]'
"""

import json
import os
import sys
from typing import Any


def main() -> None:
    """Make the tables; no signal is sent, so that no row is made with them."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    import django  # noqa: PLC0415

    django.setup()
    from django.db import connection  # noqa: PLC0415
    from django.db.migrations.executor import MigrationExecutor  # noqa: PLC0415

    executor = MigrationExecutor(connection)
    # One after another, as they ran: what stands for several at one go may reach further than then.
    executor.loader.replace_migrations = False
    executor.loader.build_graph()
    ran = {(app, name) for app, name in json.loads(sys.argv[1])} - set(executor.loader.replacements)
    executor.migrate(last_of_each_app(executor.loader.graph, ran))


def last_of_each_app(graph: Any, ran: set[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the migrations that had run and that no other of the same app followed."""
    followed = {
        (parent.key[0], parent.key[1])
        for node in ran & set(graph.nodes)
        for parent in graph.node_map[node].parents
        if parent.key[0] == node[0]
    }
    return sorted(ran & set(graph.nodes) - followed)


if __name__ == "__main__":
    main()
