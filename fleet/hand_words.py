"""Codes and words by which hands sign in, and what is kept of them.  Pure but for the secret key.

A code has to be short enough to type with cold fingers, so it is kept under the site's own secret:
who reads a copy of the database alone cannot try codes against it.
"""

from secrets import choice, token_urlsafe

from django.utils.crypto import salted_hmac

LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
"""Without those that are taken for others: 0 and O, 1, I and L."""
CODE_LENGTH = 8
"""Some 40 bits (31**8); and who guesses is slowed (fleet/sign_in_waits.py)."""
SALT = "fleet.hand_words"


def new_code() -> str:
    """Return a code by chance, as it is read out: "K7MQ-3RTW"."""
    code = "".join(choice(LETTERS) for _ in range(CODE_LENGTH))
    return f"{code[:4]}-{code[4:]}"


def new_link_word() -> str:
    """Return the word of a link: 192 bits by chance."""
    return token_urlsafe(24)


def bare_code(typed: str) -> str:
    """Return a code as it is kept, however it was typed: "k7mq 3rtw" too."""
    return "".join(sign for sign in typed.upper() if sign.isalnum())


def kept_of(word: str) -> str:
    """Return what is kept of a code or a word."""
    return salted_hmac(SALT, word, algorithm="sha256").hexdigest()
