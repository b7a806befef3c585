"""Redis and PostgreSQL killed and down by turns, while four workers and two schedules work.

A letter comes twice where the database was killed between the mail server's "250" and our commit;
each such is told.
"""

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, ProxyHandler, build_opener

import psycopg

from tests.benchmarks.plug_own_servers import OwnPostgres, OwnRedis, own_postgres
from tests.benchmarks.plug_places import Places, end_group, free_port, manage, must, run
from tests.benchmarks.plug_starts import ask, is_up, start, wait_for
from tests.services.sink import Sink

LETTERS = 150
"""Letters that are being owed when a server goes."""
OWE_LETTERS = """
import sys, django; django.setup()
from django.utils import timezone
from fleet.models import Person
from scheduling.models import Notice
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter
from scheduling.notices.posting import NewNotice, put
now, person = timezone.now(), Person.objects.get(username="odile")
Person.objects.update(email="odile@example.org")
letter = Letter("2 machines held", "2 machines held\\n", "<p>2 machines held</p>")
cause = NoticeCause(Notice.Kind.MORNING, day=now.date().replace(year=2020))
begin = int(sys.argv[1])
for number in range(begin, begin + int(sys.argv[2])):
    put(NewNotice(cause, person, person.shop, letter, round=number), now)
"""
OWE_NIGHT = """
import django; django.setup()
from django.utils import timezone
from scheduling.worker.night_hours import owe_nights
from fleet.models import Shop
from datetime import time
from scheduling.models import NightlyRun, OutboxEntry
Shop.objects.update(nightly_at=time(0, 0))
OutboxEntry.objects.filter(kind=OutboxEntry.Kind.NIGHTLY).delete()
NightlyRun.objects.all().delete()
"""


@dataclass
class Site:
    """A site on its own servers."""

    folder: Path
    postgres: OwnPostgres
    redis: OwnRedis
    sink: Sink
    port: int
    owed: int = 0

    @property
    def around(self) -> dict[str, str]:
        """Return what its processes are told."""
        return {
            "DATABASE_URL": self.postgres.url("site"), "REDIS_URL": self.redis.url,
            "EMAIL_URL": f"smtp://127.0.0.1:{self.sink.port}", "LOG_LEVEL": "WARNING",
            "DJANGO_SETTINGS_MODULE": "fleet.settings",
            "BASE_URL": f"http://127.0.0.1:{self.port}",
        }  # fmt: skip

    def start_all(self) -> list["subprocess.Popen[bytes]"]:
        """Start one web server, four workers and two schedules."""
        celery = ["-m", "celery", "-A", "fleet"]
        web = ["-m", "gunicorn", "fleet.wsgi", "-b", f"127.0.0.1:{self.port}", "--threads", "4",
               "--no-control-socket"]  # fmt: skip
        beats = [[*celery, "beat", "-s", str(self.folder / f"schedule{n}")] for n in (1, 2)]
        works = [[*celery, "worker", "-c", "1", "-n", f"w{n}@here"] for n in range(4)]
        return [start(self.folder, *words, **self.around) for words in [web, *beats, *works]]

    def ask_rows(self, asked: str) -> int:
        """Return the one number that is asked for."""
        with psycopg.connect(self.postgres.url("site")) as there:
            row = there.execute(asked).fetchone()
            return int(row[0]) if row else 0

    def owe_letters(self) -> "subprocess.Popen[bytes]":
        """Owe letters one after the other, as pages and nights do; they go out meanwhile."""
        began, there = len(self.sink.mails), str(self.owed)
        self.owed += LETTERS
        owing = start(self.folder, "-c", OWE_LETTERS, there, str(LETTERS), **self.around)
        wait_for(lambda: len(self.sink.mails) > began + 5, "the first letters to go out")
        assert owing.poll() is None, "all were owed before anything went"
        return owing

    def waiting(self) -> int:
        """Return how many letters are neither sent nor given up."""
        return self.ask_rows(
            "select count(*) from scheduling_notice where sent_at is null and failed_at is null"
        )

    def all_sent(self, owing: "subprocess.Popen[bytes]") -> str:
        """Wait until every letter is out; say how many, how long it took, and what came twice."""
        owing.wait()
        took = wait_for(lambda: not self.waiting(), "letters to be sent", 300)
        ids = [str(mail["Message-ID"]) for mail in self.sink.mails]
        kept = self.ask_rows("select count(*) from scheduling_notice where sent_at is not null")
        lost, twice = kept - len(set(ids)), len(ids) - len(set(ids))
        assert lost <= 0, f"{lost} letters lost"
        return f"{kept} letters out, the last after {took:.0f} s, 0 lost, {twice} twice in all"


def fill(server: OwnPostgres, name: str, places: Places) -> None:
    """Fill a new database with the small site; it is moved once, and then copied."""
    url, dump = server.new(name), places.prepared / "loaded.dump"
    if dump.exists():
        subprocess.run(["pg_restore", "--no-owner", f"--dbname={url}", str(dump)], check=True)
    else:
        must(manage(places.new(places.loaded()), "move_to", url))
        subprocess.run(["pg_dump", "-Fc", f"--dbname={url}", f"--file={dump}"], check=True)


@contextmanager
def _sites(places: Places) -> Iterator[Site]:
    with own_postgres(places.folder / "postgres2") as server, Sink().listening() as sink:
        redis = OwnRedis(places.folder / "redis")
        running: list[subprocess.Popen[bytes]] = []
        folder = places.new(places.loaded())
        try:
            redis.start()
            fill(server, "site", places)
            site = Site(folder, server, redis, sink, free_port())
            must(run(folder, ["-c", OWE_NIGHT], **site.around))
            _forget_what_is_owed(server.url("site"))
            running += site.start_all()
            wait_for(lambda: ask(site.port, "/sign-in/")[0] == 200, "the site to answer")
            yield site
        finally:
            for one in running:
                end_group(one)
            redis.stop()
            said = folder / "said.txt"
            sys.stderr.write(said.read_text()[-1500:] if said.exists() else "")


def _forget_what_is_owed(url: str) -> None:
    """Leave nothing of what the small site had to tell."""
    with psycopg.connect(url) as there:
        there.execute("update scheduling_notice set sent_at = now() where sent_at is null")
        there.execute("update scheduling_outboxentry set done_at = now() where done_at is null")
        there.execute("truncate scheduling_notice cascade")


def servers_by_turns(places: Places) -> Iterator[tuple[str, Callable[[], str]]]:
    """Yield what is tried on one site, in its order."""
    with _sites(places) as site:
        yield "two schedules, four workers", lambda: _worked_once(site)
        yield "Redis killed and started again", lambda: _redis_restarted(site)
        yield "PostgreSQL killed and started again", lambda: _postgres_restarted(site)
        yield "Redis down", lambda: _redis_down(site)
        yield "PostgreSQL down", lambda: _postgres_down(site)


def _worked_once(site: Site) -> str:
    night = "select count(*) from scheduling_nightlyrun where finished_at is not null"
    took = wait_for(lambda: site.ask_rows(night), "the night to be run", 400)
    said = site.all_sent(site.owe_letters())
    rows = "from scheduling_outboxentry where kind = 'nightly'"
    entries = site.ask_rows(f"select count(*) {rows}")
    tries = site.ask_rows(f"select max(attempts) {rows}")
    assert (entries, tries) == (1, 1), (entries, tries)
    return f"one night, tried once, done after {took:.0f} s; {said}"


def _redis_restarted(site: Site) -> str:
    owing = site.owe_letters()
    site.redis.stop()
    site.redis.start()
    return site.all_sent(owing)


def _postgres_restarted(site: Site) -> str:
    owing = site.owe_letters()
    site.postgres.stop()
    site.postgres.start()
    back = wait_for(lambda: is_up(site.port), "the site to be up", 120)
    return f"`/healthz` up {back:.0f} s after its start; {site.all_sent(owing)}"


def _redis_down(site: Site) -> str:
    owing = site.owe_letters()
    site.redis.stop()
    try:
        status, said = ask(site.port, "/healthz")
        assert (status, "Redis does not answer" in said) == (503, True), (status, said)
        began = time.monotonic()
        assert sign_in(site.port) == 200
        took = time.monotonic() - began
        owing.wait()
    finally:
        site.redis.start()
    back = wait_for(lambda: is_up(site.port), "the site to be up", 120)
    return (
        f"signing in took {took:.1f} s meanwhile; up {back:.0f} s after its start;"
        f" {site.all_sent(owing)}"
    )


def _postgres_down(site: Site) -> str:
    jar = CookieJar()
    assert sign_in(site.port, jar) == 200
    site.postgres.stop()
    try:
        status, said = ask(site.port, "/healthz")
        assert (status, "the database does not answer" in said) == (503, True), (status, said)
        with_cookie, said = look(site.port, "/healthz", jar)
        assert (with_cookie, "does not answer" in said) == (503, True), (with_cookie, said[:500])
        page, said = look(site.port, "/", jar)
        assert (page, "The database does not answer" in said) == (503, True), (page, said[:500])
    finally:
        site.postgres.start()
    back = wait_for(lambda: is_up(site.port), "the site to be up", 120)
    assert look(site.port, "/", jar)[0] == 200
    return (
        f"`/healthz` 503 with a cookie and without, a page {page}; all back {back:.0f} s after its"
        " start, still signed in"
    )


def look(
    port: int, path: str, jar: CookieJar, form: dict[str, str] | None = None
) -> tuple[int, str]:
    """Return status and text of a page, asked with the cookies of a person."""
    opener = build_opener(ProxyHandler({}), HTTPCookieProcessor(jar))
    try:
        sent = urlencode(form).encode() if form else None
        with opener.open(f"http://127.0.0.1:{port}{path}", data=sent, timeout=60) as page:
            return page.status, page.read().decode()
    except HTTPError as refused:
        return refused.code, refused.read().decode()


def sign_in(port: int, jar: CookieJar | None = None) -> int:
    """Sign the demo's manager in; return the status of the page that follows."""
    jar = CookieJar() if jar is None else jar
    look(port, "/sign-in/", jar)
    token = next(one.value or "" for one in jar if one.name == "csrftoken")
    form = {"username": "odile", "password": "tin-roof-rain", "csrfmiddlewaretoken": token}
    status, said = look(port, "/sign-in/", jar, form)
    assert "id_password" not in said, said[:500]
    return status
