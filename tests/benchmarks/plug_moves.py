"""The power goes in the middle of a move to PostgreSQL, and the move is made again."""

import sys

import psycopg

from tests.benchmarks.plug_commands import EARLIEST, Told
from tests.benchmarks.plug_own_servers import OwnPostgres, own_postgres
from tests.benchmarks.plug_places import Places, counts_of, manage, must, run


def cut_moves(places: Places, times: int) -> Told:
    """Move a site once, then as often cut off and again; return what was found."""
    with own_postgres(places.folder / "postgres") as server:
        site = places.new(places.loaded())
        whole = must(manage(site, "move_to", server.new("whole")))
        told, want = Told("move_to", whole.seconds, says=whole.last), rows_in(server, "whole")
        for number in range(times):
            url = server.new(name := f"cut{number}")
            moment = whole.seconds * places.chance.uniform(EARLIEST, 1.0)
            before = counts_of(site)
            first = run(site, ["manage.py", "move_to", url], after=moment)
            told.cut += first.status < 0
            told.ended_before += first.status == 0
            again = manage(site, "move_to", url)
            if again.status or rows_in(server, name) != want or counts_of(site) != before:
                told.wrong.append(f"cut after {moment:.1f} s: {again.last}")
            sys.stderr.write(f"  move_to, cut after {moment:.1f} s, then: {again.last[:120]}\n")
        return told


def rows_in(server: OwnPostgres, name: str) -> dict[str, int]:
    """Return the rows of each table of a database."""
    with psycopg.connect(server.url(name)) as there:
        names = there.execute(
            "select tablename from pg_tables where schemaname = 'public'"
        ).fetchall()
        found = {}
        for (table,) in names:
            row = there.execute(f'select count(*) from "{table}"').fetchone()
            found[table] = row[0] if row else 0
        return found
