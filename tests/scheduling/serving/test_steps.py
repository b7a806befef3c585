import io

from scheduling.serving.steps import Steps


class Terminal(io.StringIO):
    def isatty(self):
        return True


def show(out):
    steps = Steps(out, total=2)
    with steps.step("Database") as tell:
        tell("3 changes")
    with steps.step("Fleet") as tell:
        tell("98 of 98")
    return out.getvalue()


def test_steps_are_numbered_and_say_how_far_they_are():
    lines = show(io.StringIO()).splitlines()
    assert lines[1] == "[1/2] Database: 3 changes"
    assert lines[4] == "[2/2] Fleet: 98 of 98"
    assert lines[-1].startswith("[2/2] Fleet: done in ")


def test_a_terminal_shows_each_step_on_one_line():
    said = show(Terminal())
    assert said.count("\n") == 2
    assert "\r[1/2] Database: 3 changes" in said
