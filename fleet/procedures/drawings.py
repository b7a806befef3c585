"""Our own line drawings for steps of the library.  Pure: a file in, values out.

The pictures lie below templates/static/img/steps.  Work that is done names the drawing that it was
done by, so one that has landed is never changed; another one gets another name.
"""

import json
from collections.abc import Mapping
from functools import cache

from fleet.procedures.library import DRAWINGS, FOLDER

STATIC = "img/steps"
"""Where they lie among what is handed out as it is."""
WIDE, HIGH = 320, 200
"""Pixels of each: black lines on white, so that it stands alike by day, by night and on paper."""


@cache
def drawings() -> Mapping[str, str]:
    """Return the name of each drawing and what it shows, in words; read once."""
    told = json.loads((FOLDER / DRAWINGS).read_text(encoding="utf-8"))
    return {one["drawing"]: one["shows"] for one in told["drawings"]}
