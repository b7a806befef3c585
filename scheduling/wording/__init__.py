"""The planner's values in plain English.

The planner hands back numbers, ids and kinds; here, and nowhere else, they become sentences.  Days
and ids get their words from a `Names`: a shop's own (dates, people, titles), or the ids themselves
where a plan is made from a file.
"""

from .clash_words import clash_clauses, clash_reason, limit_words
from .clauses import as_clauses, as_sentence, fitted
from .conflict_words import conflict_words
from .cost_sentences import cost_sentences, term_name
from .move_words import leaving_sentence, move_sentences
from .names import IdNames, Names
from .plan_file import mend_file, plan_file
from .reason_words import place_sentence, reason_sentence, relaxation_sentence, relaxation_words
from .stage_words import stage_words
from .week_words import week_sentence

__all__ = [
    "IdNames",
    "Names",
    "as_clauses",
    "as_sentence",
    "clash_clauses",
    "clash_reason",
    "conflict_words",
    "cost_sentences",
    "fitted",
    "leaving_sentence",
    "limit_words",
    "mend_file",
    "move_sentences",
    "place_sentence",
    "plan_file",
    "reason_sentence",
    "relaxation_sentence",
    "relaxation_words",
    "stage_words",
    "term_name",
    "week_sentence",
]
