"""No action without a way to it: each is reached from a page, a sheet, a command or a task."""

import ast
import re
from collections import defaultdict
from pathlib import Path

from tests.parsed_code import ROOT, modules, parsed
from tests.test_imports import absolute

Name = tuple[str, str]
"""A module, dotted, and a name at its top level; "" stands for what its import alone runs."""

DOORS = {
    "fleet.urls",
    "fleet.apps",
    "fleet.celery",
    "fleet.once",
    "scheduling.urls",
    "scheduling.apps",
    "scheduling.tasks",
}
"""Modules that Django and Celery look up by name: every name in them is a way in."""

DOOR_FOLDERS = ("fleet.admin.", "fleet.management.commands.", "scheduling.management.commands.")
"""Folders of such modules: sheets that sign themselves up, commands called by their name."""


def dotted(path: Path) -> str:
    """Return the name by which a file is imported."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def trees() -> dict[str, tuple[Path, ast.Module]]:
    """Return every module of both halves by name, parsed."""
    paths = [p for half in ("fleet", "scheduling") for p in modules(half)]
    return {dotted(path): (path, parsed(path)) for path in paths if "migrations" not in path.parts}


class Ways:
    """Which top-level names of which modules use which others."""

    def __init__(self, code: dict[str, tuple[Path, ast.Module]]) -> None:
        self.modules = set(code)
        self.uses: dict[Name, set[Name]] = defaultdict(set)
        self.public: set[Name] = set()
        for module, (path, tree) in code.items():
            self._add(module, path, tree)

    def _add(self, module: str, path: Path, tree: ast.Module) -> None:
        meant = self._imports(path, tree)
        for node in tree.body:
            names = _defined(node)
            meant |= {name: (module, name) for name in names}
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name[0] != "_":
                self.public.add((module, node.name))
        for node in tree.body:
            # what is no definition, and what signs a definition up, runs with the import
            named = isinstance(node, ast.FunctionDef | ast.ClassDef)
            signs_up = any(
                re.search(r"register|^router\.", ast.unparse(one))
                for one in getattr(node, "decorator_list", ())
            )
            if not named or signs_up:
                self.uses[module, ""] |= self._used(node, meant)
            for name in _defined(node):
                self.uses[module, name] |= self._used(node, meant) | {(module, "")}

    def _imports(self, path: Path, tree: ast.Module) -> dict[str, Name]:
        meant: dict[str, Name] = {}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):
                base = absolute(node, path)
                for alias in node.names:
                    whole = f"{base}.{alias.name}"
                    is_module = whole in self.modules
                    meant[alias.asname or alias.name] = (
                        (whole, "") if is_module else (base, alias.name)
                    )
        return meant

    def _used(self, node: ast.AST, meant: dict[str, Name]) -> set[Name]:
        found = set()
        for part in ast.walk(node):
            if isinstance(part, ast.Name) and part.id in meant:
                found.add(meant[part.id])
            elif isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
                module, name = meant.get(part.value.id, ("", ""))
                if module in self.modules and not name:
                    found.add((module, part.attr))
        return found

    def reached(self, doors: set[Name]) -> set[Name]:
        """Return all that is used from some names on, over any number of steps."""
        found, ahead = set(doors), list(doors)
        while ahead:
            for name in self.uses[ahead.pop()] - found:
                found.add(name)
                ahead.append(name)
        return found


def _defined(node: ast.stmt) -> list[str]:
    """Return the names that a statement at the top level defines."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return [node.name]
    targets = node.targets if isinstance(node, ast.Assign) else []
    if isinstance(node, ast.AnnAssign):
        targets = [node.target]
    return [target.id for target in targets if isinstance(target, ast.Name)]


CODE = trees()
WAYS = Ways(CODE)
REACHED = WAYS.reached(
    {
        (module, name)
        for module, (_, tree) in CODE.items()
        if module in DOORS or module.startswith(DOOR_FOLDERS)
        for name in ["", *(each for node in tree.body for each in _defined(node))]
    }
)
ACTIONS = {
    name for name in WAYS.public if name[0].startswith(("fleet.actions", "scheduling.actions"))
}

WITHOUT_A_PAGE: set[Name] = set()
"""Actions that are written and tested, and still lack the page that people need for them.

Not a place for more: an action comes with its page, and goes off this list with it.
"""


def test_every_action_is_reached_from_a_page_a_sheet_a_command_or_a_task():
    assert len(ACTIONS) > 50
    assert ACTIONS - REACHED == WITHOUT_A_PAGE


def test_an_action_that_nobody_calls_would_be_found():
    code = {
        "door": "from pkg.act import used\ndef page():\n    used()\n",
        "pkg.act": "def used():\n    also()\ndef also(): ...\ndef idle():\n    used()\n",
    }
    ways = Ways({name: (ROOT / f"{name}.py", ast.parse(text)) for name, text in code.items()})
    assert ways.public - ways.reached({("door", "page")}) == {("pkg.act", "idle")}
