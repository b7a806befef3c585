"""How rows are locked: so that what refers to them can be written at the same time."""

import ast

import pytest

from tests.sentences import ROOT

SOURCES = sorted(
    path
    for package in ("fleet", "scheduling")
    for path in (ROOT / package).rglob("*.py")
    if "select_for_update" in path.read_text()
)


def locks(source: str) -> list[ast.Call]:
    calls = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call))
    return [
        call
        for call in calls
        if isinstance(call.func, ast.Attribute) and call.func.attr == "select_for_update"
    ]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_locked_row_may_be_referred_to_meanwhile(path):
    """PostgreSQL's FOR UPDATE makes whoever writes a row that refers to it wait at its commit.

    Two that then wait for each other (a check-out that holds the machine and writes a due point,
    a worker that has written the same due point and is about to commit) are a deadlock.  FOR NO
    KEY UPDATE lets references in (PostgreSQL 15, section 13.3.2).
    """
    for call in locks(path.read_text()):
        given = {word.arg: ast.literal_eval(word.value) for word in call.keywords}
        assert given.get("no_key") is True, f"line {call.lineno}"


def test_locks_are_found():
    assert len(SOURCES) > 20
