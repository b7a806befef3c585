"""The layout's rules: a pure core, and facts that know nothing of consequences."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CLOCKS = {"now", "today", "utcnow", "time", "perf_counter", "monotonic", "localdate", "localtime"}
ALLOWED_IN_CORE = {"scheduling", "numpy", "scipy", "ortools", "highspy"}


def modules(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Return the dotted names that a file imports."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(absolute(node, path))
    return names


def absolute(node: ast.ImportFrom, path: Path) -> str:
    """Return the dotted name that `from .x import y` stands for."""
    if not node.level:
        return node.module or ""
    package = path.relative_to(ROOT).parts[: -node.level]
    return ".".join([*package, *([node.module] if node.module else [])])


def test_the_core_loads_neither_django_nor_celery():
    code = "import scheduling.core.intervals, scheduling.core.usage, scheduling.core.forecast\n"
    code += "import scheduling.core.planner, sys\n"
    code += "print([m for m in ('django', 'celery', 'fleet') if m in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert run.stdout.strip() == "[]"


@pytest.mark.parametrize("path", modules("scheduling/core"), ids=str)
def test_the_core_imports_only_itself_numbers_and_solvers(path):
    for name in imported(path):
        top = name.split(".")[0]
        assert top in ALLOWED_IN_CORE or top in sys.stdlib_module_names, name
        assert top != "scheduling" or name.startswith("scheduling.core"), name


def asks_the_clock(path: Path) -> list[int]:
    """Return the lines on which a file asks what time it is."""
    calls = [n for n in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(n, ast.Call)]
    return [
        call.lineno
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr in CLOCKS
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id in {"datetime", "date", "time", "timezone"}
    ]


@pytest.mark.parametrize("path", modules("scheduling/core"), ids=str)
def test_the_core_never_asks_the_clock(path):
    assert asks_the_clock(path) == []


def test_a_call_to_the_clock_would_be_found(tmp_path):
    guilty = tmp_path / "guilty.py"
    guilty.write_text("import time\n\nstarted = time.monotonic()\n", encoding="utf-8")
    assert asks_the_clock(guilty) == [3]


@pytest.mark.parametrize("path", modules("fleet"), ids=str)
def test_facts_never_import_consequences(path):
    assert not [name for name in imported(path) if name.split(".")[0] == "scheduling"]


@pytest.mark.parametrize(
    "path",
    [p for half in ("fleet", "scheduling") for p in modules(half) if "migrations" not in p.parts],
    ids=str,
)
def test_no_file_is_a_drawer_for_leftovers(path):
    assert path.stem not in {"utils", "helpers", "misc", "common"}
    assert len(path.read_text("utf-8").splitlines()) <= 400
