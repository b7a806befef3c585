"""What a measured value calls for once it is past its limit, or its trend meets it.

Pure: a file in, values out.  Which job follows is common practice, and stands so beside it; a shop
says another where it does something else.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLLOWING = "following_jobs.json"
FILE = Path(__file__).resolve().parents[2] / "fixtures" / "procedures" / FOLLOWING


@dataclass(frozen=True)
class FollowingJob:
    """One such job.  cautions: codes; limits: names of what calls for it; minutes: of work."""

    code: str
    name: str
    minutes: int
    limits: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str


@cache
def following_jobs() -> Mapping[str, FollowingJob]:
    """Return code -> job; read once."""
    told = json.loads(FILE.read_text(encoding="utf-8"))["jobs"]
    jobs = (
        FollowingJob(**{**one, "limits": tuple(one["limits"]), "cautions": tuple(one["cautions"])})
        for one in told
    )
    return {job.code: job for job in jobs}


@cache
def job_after() -> Mapping[str, str]:
    """Return name of a limit -> code of the job that follows."""
    return {name: job.code for job in following_jobs().values() for name in job.limits}
