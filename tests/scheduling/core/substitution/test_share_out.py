"""Who takes the named part and who its substitute, against every way in which it could be done."""

from dataclasses import replace
from itertools import product
from time import perf_counter

import numpy as np

from scheduling.core.substitution import PartWant, Served, ShelfSupply, share_out
from tests.in_time import first_in_time

FILTER, LONG, BELT = 1, 2, 3


def parts(wants, supplies):
    return [given and given.part for given in share_out(wants, supplies)]


def test_the_named_part_is_taken_while_it_reaches_and_then_what_does_in_its_place():
    wants = [PartWant(day, FILTER, 1, LONG) for day in (0, 1, 2)]
    shelves = {FILTER: ShelfSupply(1), LONG: ShelfSupply(1)}
    assert parts(wants, shelves) == [FILTER, LONG, None]


def test_a_delivery_in_time_is_taken_and_one_too_late_is_not_waited_for():
    shelves = {FILTER: ShelfSupply(0, ((5, 9),)), LONG: ShelfSupply(9)}
    assert parts([PartWant(5, FILTER, 1, LONG), PartWant(4, FILTER, 1, LONG)], shelves) == [
        FILTER,
        LONG,
    ]


def test_what_other_work_names_is_kept_for_it_unless_there_is_time_to_order_another():
    first, later = PartWant(0, FILTER, 1, LONG), PartWant(9, LONG, 1)
    shelves = {FILTER: ShelfSupply(0), LONG: ShelfSupply(1)}
    assert parts([first, later], shelves) == [None, LONG]
    assert parts([first, replace(later, orderable=True)], shelves) == [LONG, None]


def test_work_that_has_a_substitute_makes_room_for_work_that_has_none():
    wants = [PartWant(0, FILTER, 1, LONG), PartWant(1, FILTER, 1, LONG), PartWant(2, FILTER, 1)]
    shelves = {FILTER: ShelfSupply(2), LONG: ShelfSupply(5)}
    assert parts(wants, shelves) == [FILTER, LONG, FILTER]  # the last that can


def test_room_is_made_along_a_chain():
    wants = [PartWant(0, FILTER, 1, LONG), PartWant(0, LONG, 1, BELT), PartWant(1, FILTER, 1)]
    shelves = {FILTER: ShelfSupply(1), LONG: ShelfSupply(1), BELT: ShelfSupply(1)}
    assert parts(wants, shelves) == [LONG, BELT, FILTER]


def test_a_place_is_served_from_one_shelf_whole():
    shelves = {BELT: ShelfSupply(1), LONG: ShelfSupply(2)}
    assert parts([PartWant(0, BELT, 2, LONG)], shelves) == [LONG]
    assert parts([PartWant(0, BELT, 3, LONG)], shelves) == [None]


def test_what_comes_too_late_is_waited_for_and_not_promised_twice():
    wants = [PartWant(0, FILTER, 1), PartWant(0, FILTER, 1), PartWant(8, FILTER, 1, LONG)]
    shelves = {FILTER: ShelfSupply(0, ((6, 1), (7, 1))), LONG: ShelfSupply(1)}
    assert share_out(wants, shelves) == [Served(FILTER, 6), Served(FILTER, 7), Served(LONG, 8)]


def test_a_part_that_was_never_counted_serves_nobody():
    assert share_out([PartWant(0, FILTER, 1)], {}) == [None]
    assert parts([PartWant(0, FILTER, 1, LONG)], {LONG: ShelfSupply(1)}) == [LONG]


def test_a_part_named_as_its_own_substitute_is_one_part():
    assert parts([PartWant(0, FILTER, 1, FILTER)] * 2, {FILTER: ShelfSupply(1)}) == [FILTER, None]


def drawn(rng):
    """Up to six wants of one piece over three parts, with something on each shelf and coming."""
    wants = []
    for _ in range(rng.integers(1, 7)):
        part, other = rng.permutation([FILTER, LONG, BELT])[:2]
        instead = int(other) if rng.random() < 0.6 else None
        day, orderable = int(rng.integers(0, 6)), bool(rng.random() < 0.5)
        wants.append(PartWant(day, int(part), 1, instead, orderable))
    supplies = {
        part: ShelfSupply(int(rng.integers(0, 3)), ((int(rng.integers(1, 6)), 1),))
        for part in (FILTER, LONG, BELT)
    }
    return sorted(wants, key=lambda want: want.day), supplies


def holds(wants, chosen, supplies):
    """Whether shelves reach for what is chosen, in time."""
    taken = {}
    for want, part in zip(wants, chosen, strict=True):
        if part is not None:
            taken.setdefault(part, []).append((want.day, want.quantity))
    return all(
        sum(quantity for day, quantity in of_part if day <= by) <= supplies[part].by(by)
        for part, of_part in taken.items()
        for by, _ in of_part
    )


def most_served(wants, supplies):
    """Try every way in which the wants can be served in time."""
    ways = product(*((None, *want.parts) for want in wants))
    return max(sum(part is not None for part in way) for way in ways if holds(wants, way, supplies))


def test_nothing_is_promised_twice_and_as_much_work_is_served_in_time_as_can_be():
    rng = np.random.default_rng(1)
    for _ in range(400):
        wants, supplies = drawn(rng)
        pairs = list(zip(wants, share_out(wants, supplies), strict=True))
        in_time = sum(bool(given and given.day <= want.day) for want, given in pairs)
        assert in_time == most_served(wants, supplies)
        had = [PartWant(given.day, want.part, 1) for want, given in pairs if given]
        assert holds(had, [given.part for _, given in pairs if given], supplies)


def moved_as_it_allows(rng, wants, supplies):
    """Move work to days on which its parts are there still, as a plan does; None: not this time."""
    served = [pair for pair in zip(wants, share_out(wants, supplies), strict=True) if pair[1]]
    moved = [PartWant(int(rng.integers(0, 9)), want.part, 1, want.instead) for want, _ in served]
    return moved if holds(moved, [given.part for _, given in served], supplies) else None


def test_work_that_a_plan_moved_as_its_parts_allow_is_served_on_its_new_days():
    """The plan is made with what was shared out by due days; then it is shared out by its days."""
    rng = np.random.default_rng(7)
    tried = 0
    while tried < 300:
        wants, supplies = drawn(rng)
        moved = moved_as_it_allows(rng, wants, supplies)
        if moved is None:
            continue
        tried += 1
        moved.sort(key=lambda want: want.day)
        for want, given in zip(moved, share_out(moved, supplies), strict=True):
            assert given is not None
            assert given.day <= want.day


def test_a_large_shop_that_lacks_half_of_what_it_wants_is_shared_out_at_once():
    """600 places, two shelves that hold far too little: 0.3 s where nobody is asked twice, 11 s
    else.
    """
    rng = np.random.default_rng(1)
    days, named = np.sort(rng.integers(0, 28, 600)), rng.integers(1, 3, 600)
    wants = [
        PartWant(int(day), int(part), 1, 3 - int(part) if rng.random() < 0.5 else None)
        for day, part in zip(days, named, strict=True)
    ]
    supplies = {1: ShelfSupply(150, ((5, 100),)), 2: ShelfSupply(120)}

    def seconds():
        began = perf_counter()
        assert sum(one is not None for one in share_out(wants, supplies)) == 370  # all there is
        return perf_counter() - began

    assert first_in_time(seconds, float, 3) < 3
