"""How a letter that came twice is judged, from the moments that were written down."""

from tests.benchmarks.letter_kills import judged, moments_of


def found(tmp_path, *lines, marks=("a",)):
    file = tmp_path / "moments"
    deaths = [line.replace("killed", "dead") for line in lines if line.startswith("killed")]
    file.write_text("\n".join([*lines, *deaths]) + "\n")
    return judged(moments_of(str(file)), set(marks))


def test_a_letter_that_came_once_is_neither_lost_nor_twice(tmp_path):
    one = found(tmp_path, "250 a 1.0", "read a 1.001", "committed a 1.01", "killed - 1.5")
    assert (one.lost, one.twice, one.kills_in_window, one.failed) == (0, 0, 0, False)
    assert [round(window, 3) for window in one.windows] == [0.01]


def test_a_kill_between_the_answer_and_the_commit_may_double(tmp_path):
    lines = ["250 a 1.0", "read a 1.001", "killed - 1.004", "250 a 2.0", "committed a 2.01"]
    one = found(tmp_path, *lines)
    assert (one.twice, len(one.in_window), one.kills_in_window) == (1, 1, 1)
    assert not one.failed


def test_an_answer_to_a_process_that_was_killed_may_double(tmp_path):
    given = ["data a 0.4", "killed - 0.9", "250 a 1.0", "250 a 2.0", "committed a 2.01"]
    one = found(tmp_path, *given)
    assert (one.in_window, len(one.to_the_dead), one.failed) == ([], 1, False)
    assert found(tmp_path, "killed - 0.3", *given[:1], *given[2:]).failed  # another's death


def test_a_double_after_the_commit_is_a_fault(tmp_path):
    one = found(tmp_path, "250 a 1.0", "committed a 1.01", "killed - 1.5", "250 a 2.0")
    assert (len(one.in_window), len(one.faults), one.failed) == (0, 1, True)


def test_a_double_without_a_kill_is_a_fault(tmp_path):
    one = found(tmp_path, "killed - 0.5", "250 a 1.0", "250 a 2.0", "committed a 2.01")
    assert (len(one.faults), one.failed) == (1, True)


def test_the_death_lies_between_the_kill_and_what_the_killer_saw_of_it(tmp_path):
    file = tmp_path / "moments"
    file.write_text("data a 1.0\nkilled - 0.9\n250 a 1.1\ndead - 1.3\n250 a 2.0\n")
    assert judged(moments_of(str(file)), {"a"}).in_window == [0]


def test_a_letter_that_never_came_is_lost(tmp_path):
    one = found(tmp_path, "250 a 1.0", "committed a 1.01", marks=("a", "b"))
    assert (one.lost, one.failed) == (1, True)
