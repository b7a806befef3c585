"""The order of the day: what a mechanic would take first, with the reason."""

from scheduling.queries.work_order import WorkStop, order_of_day


def stop(tag, place, **more):
    return WorkStop(key=place, tag=tag, place=place, **more)


def order(*stops):
    return [(one.stop.tag, one.why) for one in order_of_day(stops)]


def test_overdue_comes_before_due_before_clear_else_the_plans_order_stands():
    stops = [stop("A", 0), stop("B", 1, state="due"), stop("C", 2, state="overdue"), stop("D", 3)]
    assert order(*stops) == [
        ("C", "overdue comes first"), ("B", "due comes first"), ("A", ""), ("D", ""),
    ]  # fmt: skip


def test_what_stands_open_and_what_is_warm_come_before_all():
    stops = [stop("A", 0, state="overdue"), stop("B", 1, warm=True), stop("C", 2, open_in_bay=True)]
    assert [tag for tag, _ in order(*stops)] == ["C", "B", "A"]
    assert dict(order(*stops))["B"] == "it has just come in, and its oil is still warm"


def test_the_far_yard_is_one_trip_as_urgent_as_its_most_urgent_machine():
    far = {"yard": "North yard"}
    stops = [
        stop("A", 0, **far), stop("B", 1, state="due"), stop("C", 2, state="overdue", **far),
        stop("D", 3, state="overdue"),
    ]  # fmt: skip
    assert order(*stops) == [
        ("D", "overdue comes first"), ("C", "it is at North yard, in one trip with A"),
        ("A", "it is at North yard, in one trip with C"), ("B", "due comes first"),
    ]  # fmt: skip


def test_machines_that_share_a_set_up_stand_beside_each_other():
    pan, lift = frozenset({"drain pan"}), frozenset({"lift and stands"})
    stops = [stop("A", 0, set_ups=pan), stop("B", 1, set_ups=lift), stop("C", 2, set_ups=pan)]
    assert order(*stops) == [("A", ""), ("C", "the same drain pan as A"), ("B", "")]
