"""Gather what is to be said in Spanish into the catalogues, and compile them.

    python -m tests.fleet.tongues.gathered

What is new comes in without Spanish, and is told; what nobody says any more goes out.
"""

import os
import sys
from pathlib import Path

from tests.fleet.tongues.po_files import Entry, compiled, read_po, write_po
from tests.sentences import ROOT

LANGUAGE = "es"
PAGES_PO = ROOT / "fleet" / "locale" / LANGUAGE / "LC_MESSAGES" / "django.po"
LIBRARY_PO = ROOT / "fixtures" / "locale" / LANGUAGE / "LC_MESSAGES" / "django.po"


def merged(asked: dict[tuple[str, str], list[str]], there: list[Entry]) -> list[Entry]:
    """Return the entries that are asked for, with what is said of them already."""
    said = {one.key: one.said for one in there}
    return [
        Entry(*key, said.get(key, ("", "") if key[1] else ("",)), tuple(sorted(set(places))))
        for key, places in sorted(asked.items(), key=lambda one: (sorted(one[1]), one[0]))
    ]


def gather(path: Path, asked: dict[tuple[str, str], list[str]]) -> list[Entry]:
    """Write a catalogue anew and compile it; return what has no Spanish yet."""
    entries = merged(asked, read_po(path) if path.exists() else [])
    write_po(path, entries, LANGUAGE)
    path.with_suffix(".mo").write_bytes(compiled(entries, LANGUAGE))
    return [one for one in entries if not all(one.said)]


def main() -> None:
    """Gather both catalogues."""
    import django  # noqa: PLC0415

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    from tests.fleet.tongues.said_on_pages import of_library, of_pages  # noqa: PLC0415

    missing = gather(PAGES_PO, of_pages()) + gather(LIBRARY_PO, of_library())
    for one in missing:
        sys.stdout.write(f"{one.english}\n")
    sys.stdout.write(f"{len(missing)} without Spanish\n")


if __name__ == "__main__":
    main()
