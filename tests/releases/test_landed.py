"""A migration that has landed is never edited."""

from tests.releases.landed import faults, listed, present


def test_every_migration_is_as_it_landed():
    assert faults(listed(), present()) == []


def test_the_first_release_had_one_of_each_half():
    assert list(listed()["0.1.0"]) == [
        "fleet/migrations/0001_facts.py", "scheduling/migrations/0001_consequences.py"
    ]  # fmt: skip


def test_an_edited_a_lost_and_a_new_one_are_told_apart():
    old = {"0.1.0": {"a/0001.py": "11", "a/0002.py": "22"}}
    assert faults(old, {"a/0001.py": "11", "a/0002.py": "22"}) == []
    edited, lost, new = faults(old, {"a/0001.py": "1x", "a/0003.py": "33"})
    assert "0001.py has landed and was edited" in edited
    assert "0002.py has landed and is gone" in lost
    assert "0003.py is new" in new
