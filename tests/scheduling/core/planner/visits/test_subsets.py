from scheduling.core.planner.visits.subsets import every_subset, likely_subsets


def test_every_subset_of_three_tasks_is_offered():
    assert every_subset(3) == [1, 2, 3, 4, 5, 6, 7]


def test_many_tasks_are_offered_alone_in_pairs_and_as_neighbours():
    offered = set(likely_subsets(9, [0b111111111]))
    assert {1 << i for i in range(9)} <= offered
    assert 0b100000001 in offered
    assert {0b1110, 0b111111111} <= offered
    assert len(offered) < 100


def test_what_belongs_together_is_offered_together_and_with_its_neighbours():
    offered = likely_subsets(9, [0b101000001])
    assert 0b101000001 in offered
    assert 0b101000011 in offered


def test_twenty_tasks_stay_within_reason():
    offered = likely_subsets(20, [0b11111 << n for n in range(12)])
    assert len(offered) < 500
    assert {1 << i for i in range(20)} <= set(offered)
