"""What the pages of the three people say on a day, read from their words, lists and tables."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.test import Client

from tests.pages import answer, words

TAG = re.compile(r'<a class="tag"[^>]*>([^<]+)</a>')
NO_WAY = re.compile(r'<li id="booking-\d+">.*?<strong>([^<]+)</strong>', re.DOTALL)
"""A booking that wants a way out: a line that opens, headed by its machine's tag."""
NEXT = re.compile(r'<a rel="next" href="([^"]+)"')


@dataclass(frozen=True)
class Yard:
    """The manager's page: the three numbers of its sentence, and what stands in its lists.

    overdue: tags of the list, one a machine; no_way: tags of the bookings that want a way out.
    """

    says_overdue: int
    says_held: int
    says_at_risk: int
    overdue: list[str]
    no_way: list[str]


def read_yard(client: Client) -> Yard:
    """Read it, all pages of its list of what is overdue."""
    said = answer(client.get("/yard/"))
    numbers = [_number(pattern, said) for pattern in (r"(\d+) machines? overdue", r"(\d+) held",
                                                      r"(\d+) bookings? at risk")]  # fmt: skip
    pages = list(_leaves(client, "/yard/"))
    overdue = [tag for page in pages for tag in TAG.findall(_section(page, "overdue"))]
    rest = client.get("/yard/at-risk/later/").content.decode()  # those too many for the page
    wanted = NO_WAY.findall(_section(pages[0], "at-risk")) + NO_WAY.findall(rest)
    return Yard(*numbers, overdue, wanted)


def machines_in(client: Client, state: str) -> set[str]:
    """Return the tags that the list of machines shows for a state."""
    pages = _leaves(client, f"/machines/?state={state}")
    return {tag for page in pages for tag in TAG.findall(_section(page, "found"))}


def fleet_says(client: Client) -> tuple[int, list[int]]:
    """Return how many machines the list of machines says there are, and how many in each state."""
    said = answer(client.get("/machines/"))
    first, _, rest = said.partition(":")
    return _number(r"(\d+)", first), [int(n) for n in re.findall(r"\d+", rest)]


@dataclass(frozen=True)
class Bench:
    """A mechanic's day: how many machines its sentence says, which first, and its jobs' tags."""

    says: int
    says_first: str
    tags: list[str]


def read_bench(client: Client, mechanic: str, day: date) -> Bench:
    """Read the list of one mechanic and day."""
    page = client.get(f"/bench/?day={day}&mechanic={mechanic}")
    found = re.search(r"(\d+) machines? to work on.*; (\S+) first", answer(page))
    jobs = re.search(
        r'<ol class="stack">(.*?)</ol>\s*(?:</section>|{%)', page.content.decode(), re.S
    )
    tags = TAG.findall(jobs[1]) if jobs else []
    return Bench(int(found[1]) if found else 0, found[2] if found else "", tags)


def read_shop_days(client: Client, day: date) -> tuple[int, list[str]]:
    """Return how many machines the plan from a day on says come in, and the tag of each visit."""
    page = client.get(f"/shop-days/?day={day}")
    says = re.search(r"(\d+) machines? comes? in", answer(page))
    visits = re.findall(r'<li class="job-card.*?<summary><b>([^<]+)</b>', page.content.decode(),
                        re.DOTALL)  # fmt: skip
    return int(says[1]) if says else 0, visits


def manager_says(client: Client) -> str:
    """Return all words of the manager's page."""
    return words(client.get("/yard/"))


def _leaves(client: Client, address: str) -> Iterator[str]:
    """Yield a page and those that follow it by its link "Next"."""
    path = address.partition("?")[0]
    while address:
        page = client.get(address).content.decode()
        yield page
        further = NEXT.search(page)
        address = path + further[1].replace("&amp;", "&") if further else ""


def _section(page: str, name: str) -> str:
    found = re.search(rf'<section[^>]*id="{name}".*?</section>', page, re.DOTALL)
    return found[0] if found else ""


def _number(pattern: str, said: str) -> int:
    found = re.search(pattern, said)
    return int(found[1].replace(",", "")) if found else 0
