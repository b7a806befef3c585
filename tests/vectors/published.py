"""The published worked examples of fixtures/published_vectors.json, by their id."""

import json
from pathlib import Path
from typing import Any

_FILE = Path(__file__).parents[2] / "fixtures" / "published_vectors.json"
_VECTORS = {v["id"]: v for v in json.loads(_FILE.read_text(encoding="utf-8"))["vectors"]}


def vector(number: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return what the example starts from and what its source expects."""
    found = _VECTORS[number]
    return found["inputs"], found["expected"]
