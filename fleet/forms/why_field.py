"""The reason that every correction carries."""

from django import forms


class WhyCorrectedField(forms.CharField):
    """Why a fact is put right, kept on record with the name of who says so."""

    def __init__(self) -> None:
        super().__init__(
            label="Why it is corrected",
            max_length=200,
            help_text="Kept on record with your name.",
            error_messages={
                "required": "Say why it is corrected; it stays on record with your name."
            },
        )
