"""The migrations that have landed, each with the checksum of its file, by the release of each.

python -m tests.releases.landed adds those that are new, under the present version.  One that is on
the list is never edited, moved or removed: somewhere a database has run it as it was, and what is
changed in it afterwards that database never gets.  What is to be otherwise is a new migration.
"""

import json
from hashlib import sha256
from pathlib import Path

from fleet.version import VERSION

ROOT = Path(__file__).resolve().parents[2]
LIST = Path(__file__).with_name("migrations.json")


def present() -> dict[str, str]:
    """Return the checksum of each migration of ours, and of what they share, by its place."""
    files = [*ROOT.glob("fleet/migrations/*.py"), *ROOT.glob("scheduling/migrations/*.py")]
    return {
        file.relative_to(ROOT).as_posix(): sha256(file.read_bytes()).hexdigest()
        for file in sorted(files)
        if file.name != "__init__.py"
    }


def listed() -> dict[str, dict[str, str]]:
    """Return version -> place -> checksum."""
    found: dict[str, dict[str, str]] = json.loads(LIST.read_text())
    return found


def faults(listed: dict[str, dict[str, str]], present: dict[str, str]) -> list[str]:
    """Say which migrations are not as they landed, and which are not on the list."""
    known = {place: sum_ for release in listed.values() for place, sum_ in release.items()}
    said = []
    for place, checksum in known.items():
        if place not in present:
            said.append(f"{place} has landed and is gone; put it back")
        elif present[place] != checksum:
            said.append(f"{place} has landed and was edited; undo that, and write a new migration")
    new = sorted(set(present) - set(known))
    return said + [f"{place} is new; run python -m tests.releases.landed" for place in new]


def main() -> None:
    """Add what is new to the list."""
    found = listed()
    known = {place for release in found.values() for place in release}
    new = {place: checksum for place, checksum in present().items() if place not in known}
    if new:
        found[VERSION] = dict(sorted((found.get(VERSION, {}) | new).items()))
        LIST.write_text(json.dumps(found, indent=2) + "\n")
    print(f"{len(new)} added under {VERSION}")  # noqa: T201


if __name__ == "__main__":
    main()
