"""The answers to an odd reading in the words that stand on a button."""

from fleet.validation.reasons import ReadingAnswer
from fleet.validation.verdict_words import ReadingContext, ReadingVerdict

WORDS = {
    ReadingAnswer.SWAPPED: "The meter was swapped",
    ReadingAnswer.ROLLED_OVER: "It rolled over",
    ReadingAnswer.REALLY_SO: "It really shows that",
    ReadingAnswer.REPLACES: "It takes the other's place",
}


def offered(verdict: ReadingVerdict, place: ReadingContext) -> list[tuple[str, str]]:
    """Return the answers that can be pressed; to a typing error one types again."""
    words = dict(WORDS)
    if verdict.meant is not None:
        words[ReadingAnswer.MEANT] = f"It shows {place.use(verdict.meant)}"
    return [(answer.value, words[answer]) for answer in verdict.choices if answer in words]
