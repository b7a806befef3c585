"""The project's own code, each file parsed once, for the tests that read it."""

import ast
from collections.abc import Callable, Collection, Iterable
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]


@cache
def parsed(path: Path) -> ast.Module:
    """Return a file as a tree."""
    return ast.parse(path.read_text("utf-8"))


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Return every node of a file, the tree itself first."""
    return tuple(ast.walk(parsed(path)))


def modules(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def by_file(found: Callable[[Path], Collection[object]], paths: Iterable[Path]) -> list[str]:
    """Return what is found in each of the files, a line each, where there is anything.

    One test looks at all files: as a test a file they were a third of the whole run's tests.
    """
    seen = [(path, found(path)) for path in paths]
    assert seen, "no file was looked at"
    return [f"{path.relative_to(ROOT)}: {one}" for path, all_found in seen for one in all_found]


EDGES = [
    path
    for half in ("fleet", "scheduling")
    for path in modules(half)
    if {"views", "forms", "tables", "templatetags", "management", "tasks.py", "interface"}
    & set(path.relative_to(ROOT).parts)
]
"""Where requests, commands and the queue come in: they call actions and queries, which call models.

The set-up sheets (fleet/admin) are Django's own form site, made over models, and stand apart.
"""
