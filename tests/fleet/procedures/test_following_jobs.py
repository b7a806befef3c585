"""What a measured value calls for, by the library."""

from fleet.procedures.following_jobs import following_jobs
from fleet.procedures.library import library, library_cautions

LIMITS = {
    limit.name: limit for kind in library() for one in kind.procedures for limit in one.limits
}


def test_each_job_follows_a_measure_of_the_library_and_each_measure_has_one_at_most():
    named = [name for job in following_jobs().values() for name in job.limits]
    assert len(named) == len(set(named))
    assert set(named) <= set(LIMITS)
    assert {LIMITS[name].then for name in named} == set(following_jobs())


def test_all_that_wears_for_safety_has_a_job_that_follows():
    assert [name for name, limit in LIMITS.items() if limit.safety and not limit.then] == []


def test_a_job_says_its_cautions_and_how_it_is_known():
    for job in following_jobs().values():
        assert job.cautions, job.code
        assert set(job.cautions) <= set(library_cautions()), job.code
        assert job.source == "common practice"
        assert len(job.name) <= 80


def test_a_limit_that_calls_for_nothing_has_the_content_that_it_always_had():
    bodies = [row for kind in library() for one in kind.procedures for row in one.body["limits"]]
    without = [row for row in bodies if row["name"] == "toe"]
    assert without
    assert "then" not in without[0]
