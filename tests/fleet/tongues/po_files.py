"""Catalogues without the gettext tools: a .po file read and written, and what it compiles to.

The format is that of the GNU gettext manual, sections 3 (PO files) and 10.3 (MO files; from
memory).  Entries have no context; a plural has two forms, as English and Spanish have.
"""

import ast
import re
import struct
from dataclasses import dataclass
from pathlib import Path

HEADER = (
    "Project-Id-Version: Evener\nLanguage: {language}\nMIME-Version: 1.0\n"
    "Content-Type: text/plain; charset=UTF-8\nContent-Transfer-Encoding: 8bit\n"
    "Plural-Forms: nplurals=2; plural=(n != 1);\n"
)


@dataclass
class Entry:
    """A sentence: its English, its English for many ("" of none), what is said instead, by form."""

    english: str
    many: str = ""
    said: tuple[str, ...] = ("",)
    where: tuple[str, ...] = ()
    fuzzy: bool = False

    @property
    def key(self) -> tuple[str, str]:
        return self.english, self.many


def read_po(path: Path) -> list[Entry]:
    """Return the entries of a catalogue, its header left out."""
    found = []
    for block in path.read_text("utf-8").split("\n\n"):
        fields: dict[str, str] = {}
        name = ""
        for line in block.splitlines():
            if match := re.match(r'(msg\w+(?:\[\d\])?) (".*")$', line):
                name = match[1]
                fields[name] = ast.literal_eval(match[2])
            elif line.startswith('"'):
                fields[name] += ast.literal_eval(line)
        if not fields.get("msgid"):
            continue
        many = fields.get("msgid_plural", "")
        forms = ("msgstr[0]", "msgstr[1]") if many else ("msgstr",)
        found.append(
            Entry(
                fields["msgid"],
                many,
                tuple(fields[form] for form in forms),
                tuple(re.findall(r"^#: (.*)$", block, re.M)),
                bool(re.search(r"^#,.*\bfuzzy\b", block, re.M)),
            )
        )
    return found


def quoted(text: str) -> str:
    """Return a text as a catalogue writes it."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def write_po(path: Path, entries: list[Entry], language: str) -> None:
    """Write a catalogue, its header first."""
    blocks = ['msgid ""\nmsgstr ' + quoted(HEADER.format(language=language))]
    for one in entries:
        lines = [f"#: {place}" for place in one.where] + [f"msgid {quoted(one.english)}"]
        if one.many:
            lines.append(f"msgid_plural {quoted(one.many)}")
            lines += [f"msgstr[{n}] {quoted(said)}" for n, said in enumerate(one.said)]
        else:
            lines.append(f"msgstr {quoted(one.said[0])}")
        blocks.append("\n".join(lines))
    path.write_text("\n\n".join(blocks) + "\n", "utf-8")


def compiled(entries: list[Entry], language: str) -> bytes:
    """Return the .mo file of a catalogue; what has no translation is left out."""
    said = {"": HEADER.format(language=language)}
    for one in entries:
        if all(one.said) and not one.fuzzy:
            said["\0".join(filter(None, one.key))] = "\0".join(one.said)
    rows = sorted((k.encode(), v.encode()) for k, v in said.items())
    at = 28 + 16 * len(rows)
    tables: list[list[int]] = [[], []]
    data = b""
    for column in (0, 1):
        for row in rows:
            tables[column] += [len(row[column]), at + len(data)]
            data += row[column] + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(rows), 28, 28 + 8 * len(rows), 0, at)
    return head + b"".join(struct.pack(f"<{len(t)}I", *t) for t in tables) + data
