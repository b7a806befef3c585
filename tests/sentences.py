"""Every sentence that a person reads, with its place: templates, code and fixtures.

A string of code counts if it holds a space and a letter and is neither a docstring nor of a module
that nobody but builders reads.  Run it to read them all in one go:

    python -m tests.sentences [PART OF A PATH]
"""

import ast
import json
import re
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[1]
SPOKEN_ATTRIBUTES = {"title", "alt", "placeholder", "aria-label", "aria-description", "content"}
SILENT_TAGS = {"script", "style"}
TEMPLATE_CODE = re.compile(r"{#.*?#}|{%.*?%}|{{.*?}}", re.S)
WORDS = re.compile(r"[A-Za-z]{2,}.*\s.*[A-Za-z]|[A-Za-z]{3,}")


class Sentence(NamedTuple):
    """What somebody may read, and where it stands."""

    file: str
    line: int
    text: str


class Spoken(HTMLParser):
    """The words of a template: texts between tags, and attributes that are read aloud."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[tuple[int, str]] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.silent += tag in SILENT_TAGS
        for name, value in attrs:
            if name in SPOKEN_ATTRIBUTES and value:
                self.found.append((self.getpos()[0], value))

    def handle_endtag(self, tag: str) -> None:
        self.silent -= tag in SILENT_TAGS

    def handle_data(self, data: str) -> None:
        if not self.silent and WORDS.search(data):
            begins = len(data) - len(data.lstrip("\n"))
            self.found.append((self.getpos()[0] + begins, data))


def of_template(path: Path) -> Iterator[Sentence]:
    """Yield the sentences of a template, its own code left out but for strings in quotes."""
    text = path.read_text("utf-8")
    name = str(path.relative_to(ROOT))
    # code keeps its line breaks, so that line numbers stay true
    blank = TEMPLATE_CODE.sub(lambda code: "…" + "\n" * code[0].count("\n"), text)
    spoken = Spoken()
    spoken.feed(blank)
    for line, said in spoken.found:
        yield Sentence(name, line, " ".join(said.split()))
    for code in TEMPLATE_CODE.finditer(text):
        for quoted in re.findall(r'"([^"]* [^"]*)"', code[0]):
            if WORDS.search(quoted) and not quoted.endswith(".html"):
                yield Sentence(name, text.count("\n", 0, code.start()) + 1, quoted)


def docstrings(tree: ast.AST) -> set[int]:
    """Return the strings that are statements by themselves: docstrings, words on constants."""
    return {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def said_by(node: ast.AST) -> str | None:
    """Return the text of a string, its filled-in parts as an ellipsis."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(said_by(part) or "…" for part in node.values)
    return None


def of_code(path: Path) -> Iterator[Sentence]:
    """Yield the sentences in a module's strings."""
    tree = ast.parse(path.read_text("utf-8"))
    silent = docstrings(tree)
    parts = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for part in node.values
    }
    for node in ast.walk(tree):
        said = said_by(node)
        if said and " " in said.strip() and id(node) not in silent | parts and WORDS.search(said):
            yield Sentence(str(path.relative_to(ROOT)), node.lineno, " ".join(said.split()))


def of_fixture(path: Path) -> Iterator[Sentence]:
    """Yield the sentences of a JSON file of the demo."""

    def strings(value: object) -> Iterator[str]:
        if isinstance(value, str):
            yield value
        elif isinstance(value, dict):
            for each in value.values():
                yield from strings(each)
        elif isinstance(value, list):
            for each in value:
                yield from strings(each)

    for said in strings(json.loads(path.read_text("utf-8"))):
        if " " in said.strip():
            yield Sentence(str(path.relative_to(ROOT)), 0, " ".join(said.split()))


def sentences() -> Iterator[Sentence]:
    """Yield all that a person may read."""
    for path in sorted((ROOT / "templates").rglob("*.html")) + sorted(
        (ROOT / "templates").rglob("*.txt")
    ):
        yield from of_template(path)
    for half in ("fleet", "scheduling"):
        for path in sorted((ROOT / half).rglob("*.py")):
            if "migrations" not in path.parts:
                yield from of_code(path)
    for path in sorted((ROOT / "fixtures").glob("*.json")):
        if path.name != "published_vectors.json":  # quoted as published
            yield from of_fixture(path)


if __name__ == "__main__":
    part = sys.argv[1] if len(sys.argv) > 1 else ""
    for each in sentences():
        if part in each.file:
            sys.stdout.write(f"{each.file}:{each.line}: {each.text}\n")
