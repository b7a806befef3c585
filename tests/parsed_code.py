"""The project's own code, each file parsed once, for the tests that read it."""

import ast
from functools import cache
from pathlib import Path


@cache
def parsed(path: Path) -> ast.Module:
    """Return a file as a tree."""
    return ast.parse(path.read_text("utf-8"))


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Return every node of a file, the tree itself first."""
    return tuple(ast.walk(parsed(path)))
