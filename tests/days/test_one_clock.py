"""The program asks what day it is in one way, so that its processes can be handed another day."""

import ast

import pytest

from tests.parsed_code import ROOT, modules

OTHER_WAYS = {
    ("datetime", "now"), ("datetime", "today"), ("datetime", "utcnow"), ("date", "today"),
    ("time", "time"), ("time", "localtime"), ("time", "gmtime"),
    ("timezone", "localdate"), ("timezone", "localtime"),
}  # fmt: skip
"""Module or class and what is called of it; what measures how long something takes is no clock."""


def other_clocks(code: str) -> list[int]:
    """Return the lines on which code asks another clock than `timezone.now`."""
    calls = (node.func for node in ast.walk(ast.parse(code)) if isinstance(node, ast.Call))
    return [
        called.lineno
        for called in calls
        if isinstance(called, ast.Attribute)
        and (ast.unparse(called.value).rpartition(".")[2], called.attr) in OTHER_WAYS
    ]


@pytest.mark.parametrize("half", ["fleet", "scheduling"])
def test_no_module_asks_another_clock(half):
    assert {
        path.relative_to(ROOT).as_posix(): lines
        for path in modules(half)
        if (lines := other_clocks(path.read_text("utf-8")))
    } == {}


def test_no_page_asks_a_clock_of_its_own():
    pages = (ROOT / "templates").rglob("*.html")
    assert [page.name for page in pages if "{% now" in page.read_text("utf-8")] == []


def test_another_clock_would_be_found():
    assert other_clocks("import datetime\nday = datetime.date.today()\n") == [2]
    assert other_clocks("from django.utils import timezone\nnow = timezone.now()\n") == []
