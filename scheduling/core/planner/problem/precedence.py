"""Which tasks of a machine must follow one another, and which may not share a visit.

A task done `after` others comes on a later day than each of them or in the same visit, and waits
when one of them waits.  All of it reaches through: what follows a follower follows too.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from .entities import InstanceError, Task

LONGEST_CIRCLE = 8
"""Tasks of a circle that a message names."""


def refuse_disorder(tasks: Mapping[str, Task]) -> None:
    """Raise `InstanceError` for the first `after` or `apart` that cannot be meant."""
    for task in tasks.values():
        for field, others in (("after", task.after), ("apart", task.apart)):
            _check_others(tasks, task, field, others)
    done: set[str] = set()
    for name in tasks:
        _refuse_cycle(tasks, name, done)


def _check_others(tasks: Mapping[str, Task], task: Task, field: str, others: Iterable[str]) -> None:
    place = f"tasks[{task.id}].{field}"
    for other in sorted(others):
        if other not in tasks:
            raise InstanceError(f"{place}: {other!r} is not among the tasks")
        if other == task.id:
            raise InstanceError(f"{place}: names the task itself")
        if tasks[other].machine != task.machine:
            raise InstanceError(
                f"{place}: {other!r} is on machine {tasks[other].machine!r}, "
                f"but {task.id!r} on {task.machine!r}"
            )


def _refuse_cycle(tasks: Mapping[str, Task], start: str, done: set[str]) -> None:
    """Walk back from `start` without recursion; `done` are the tasks known to be in no circle."""
    # A chain may be as long as the list of tasks; recursion would end at a thousand.
    path, todo = [start], [sorted(tasks[start].after)]
    while path:
        ahead = [name for name in todo[-1] if name not in done]
        if not ahead:
            done.add(path.pop())
            todo.pop()
            continue
        name = ahead[0]
        if name in path:
            circle = circle_words([*path[path.index(name) :], name])
            raise InstanceError(f"tasks[{name}].after: goes in a circle, {circle}")
        path.append(name)
        todo.append(sorted(tasks[name].after))


def circle_words(circle: Sequence[str]) -> str:
    """Return a circle of tasks in words, the middle of a long one left out."""
    half = LONGEST_CIRCLE // 2
    names = circle if len(circle) <= LONGEST_CIRCLE else [*circle[:half], "...", *circle[-half:]]
    return " after ".join(names)


def required(tasks: Mapping[str, Task], kept: Iterable[str]) -> set[str]:
    """Return the tasks in `kept` and all that must be done before one of them."""
    found, todo = set(), list(kept)
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            todo += [other for other in tasks[name].after if other in tasks]
    return found


@dataclass(frozen=True, slots=True)
class Precedence:
    """The rules of order among n tasks of one machine as bit masks.

    `before[i]` are the tasks that must be done before task i, near or far; `apart[i]` those that
    it may not share a visit with.
    """

    before: tuple[int, ...]
    apart: tuple[int, ...]

    def allows(self, mask: int) -> bool:
        """Tell whether the tasks of `mask` may be one visit.

        Beside tasks that are apart it forbids a set with a gap: when b follows a and c follows
        b, a visit of a and c without b would put b both after and before itself.
        """
        members = [i for i in range(len(self.before)) if mask >> i & 1]
        if any(self.apart[i] & mask for i in members):
            return False
        outside = ~mask
        return not any(
            self.before[i] & outside & (1 << b) and self.before[b] & mask
            for i in members
            for b in range(len(self.before))
        )

    def first(self, mask: int) -> int:
        """Return the mask of the tasks that must be done before a visit of `mask`."""
        needed = 0
        for i, before in enumerate(self.before):
            if mask >> i & 1:
                needed |= before
        return needed & ~mask


def precedence_of(tasks: Sequence[Task]) -> Precedence | None:
    """Return the order among `tasks` of one machine, or None where there is no such rule."""
    place = {task.id: i for i, task in enumerate(tasks)}
    before = [_bits(place, task.after) for task in tasks]
    # One step follows one link, and no chain has more links than there are tasks.
    for _ in tasks:
        before = [_reach(mask, before) for mask in before]
    apart = [_bits(place, task.apart) for task in tasks]
    for i, mask in enumerate(list(apart)):
        for j in range(len(tasks)):
            if mask >> j & 1:
                # "Not with" is meant both ways though it is written once.
                apart[j] |= 1 << i
    if not any(before) and not any(apart):
        return None
    return Precedence(tuple(before), tuple(apart))


def _bits(place: Mapping[str, int], names: Iterable[str]) -> int:
    return sum(1 << place[name] for name in names if name in place)


def _reach(mask: int, before: Sequence[int]) -> int:
    for i, earlier in enumerate(before):
        if mask >> i & 1:
            mask |= earlier
    return mask
