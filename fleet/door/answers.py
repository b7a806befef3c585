"""The answers to an odd reading in the words that stand on a button."""

from fleet.door.reasons import Answer
from fleet.door.words import Place, Verdict

WORDS = {
    Answer.SWAPPED: "The meter was swapped",
    Answer.ROLLED_OVER: "It rolled over",
    Answer.REALLY_SO: "It really shows that",
    Answer.REPLACES: "It takes the other's place",
}


def offered(verdict: Verdict, place: Place) -> list[tuple[str, str]]:
    """Return the answers that can be pressed; to a typing error one types again."""
    words = dict(WORDS)
    if verdict.meant is not None:
        words[Answer.MEANT] = f"It shows {place.use(verdict.meant)}"
    return [(answer.value, words[answer]) for answer in verdict.choices if answer in words]
