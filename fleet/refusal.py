"""How an action says no: one clear sentence for the person, at the field where it belongs."""


class Refusal(Exception):
    """What was asked cannot be done; the sentence says what is wrong and how to mend it."""

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
