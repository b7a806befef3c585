"""Why work leaves its place when a plan is mended, as a sentence."""

from scheduling.core.planner import Leaving, LeavingKind, ReasonedMove

from .clauses import listed
from .conflict_words import conflict_words
from .names import Names
from .reason_words import place_sentence, place_words, reason_sentence


def leaving_sentence(leaving: Leaving, names: Names) -> str:
    """Return why work leaves where it stood, or that it stood nowhere."""
    if leaving.kind == LeavingKind.NEW or leaving.place is None:
        return "It is new to the plan."
    place = place_words(leaving.place, names)
    if leaving.kind == LeavingKind.GIVES_WAY and leaving.conflict is not None:
        return f"It gives way on {place}: {conflict_words(leaving.conflict, names)}."
    if leaving.conflict is not None:
        return f"It cannot stay on {place}: {conflict_words(leaving.conflict, names)}."
    if leaving.kind == LeavingKind.MAKES_ROOM:
        others = listed([names.task_on(task) for task in leaving.tasks])
        return f"It makes room on {place} for {others}."
    return "It could stay, but moving it costs less."


def move_sentences(move: ReasonedMove, names: Names) -> list[str]:
    """Return why work leaves its place, and why it goes where it goes, if that is known."""
    said = [leaving_sentence(move.leaving, names)]
    if move.after is not None:
        return [*said, place_sentence(move.reason, names)]
    return said if move.reason is None else [*said, reason_sentence(move.reason, names)]
