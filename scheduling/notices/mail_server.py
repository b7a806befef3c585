"""The mail server as one session: connected, one message handed over, let go.

What a mail server answers (RFC 5321 section 4.2.1): 4yz may pass; 5yz on the recipient, or after
the message itself, will not.  The farewell (QUIT) comes only after the caller has marked what was
taken: a slow server then keeps nobody between its "250" and the mark.
"""

import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from smtplib import (
    SMTPAuthenticationError,
    SMTPConnectError,
    SMTPDataError,
    SMTPException,
    SMTPNotSupportedError,
    SMTPRecipientsRefused,
    SMTPSenderRefused,
    SMTPServerDisconnected,
)
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, get_connection

PERMANENT = 500
"""Reply codes from here on say that trying again will not help (RFC 5321, 4.2.1)."""


@dataclass(frozen=True)
class ServerAnswer:
    """What came of handing a message over.

    words: what the server said, as a sentence; code: its reply, 0 where it gave none.
    refused: for good, for this recipient or this letter.
    """

    taken: bool
    refused: bool = False
    code: int = 0
    words: str = ""
    named: str = ""


@contextmanager
def handed_over(mail: EmailMessage) -> Iterator[ServerAnswer]:
    """Hand a message over and yield the server's answer; say farewell after the block."""
    connection = get_connection()
    try:
        yield _hand_over(connection, mail)
    finally:
        with suppress(SMTPException, OSError):
            connection.close()


def _hand_over(connection: Any, mail: EmailMessage) -> ServerAnswer:
    try:
        connection.open()
        connection.send_messages([mail])
    except SMTPRecipientsRefused as error:
        code, said = next(iter(error.recipients.values()))  # there is one; ü of its host is xn--
        return _answer(error, code, said, refused=code >= PERMANENT)
    except SMTPDataError as error:
        refused = error.smtp_code >= PERMANENT
        return _answer(error, error.smtp_code, error.smtp_error, refused=refused)
    except (SMTPException, OSError) as error:
        code = getattr(error, "smtp_code", 0) or 0
        return _answer(error, code, getattr(error, "smtp_error", b""))
    return ServerAnswer(True)


def _answer(
    error: Exception, code: int, said: bytes | str, *, refused: bool = False
) -> ServerAnswer:
    text = said.decode(errors="replace") if isinstance(said, bytes) else str(said)
    named = (
        f"{code} {' '.join(text.split())}".strip() if code else f"{type(error).__name__}: {error}"
    )
    return ServerAnswer(False, refused, code, in_words(error), named)


def in_words(error: Exception) -> str:
    """Say what a fault of a mail server means, and what to do about it."""
    for kinds, words in MEANINGS:
        if isinstance(error, kinds):
            return words.format(host=getattr(settings, "EMAIL_HOST", "the mail server"))
    return "The mail server and this site did not understand each other."


MEANINGS: list[tuple[tuple[type[Exception], ...], str]] = [
    (
        (SMTPAuthenticationError,),
        "{host} does not accept the user name and password of EMAIL_URL.",
    ),
    ((SMTPRecipientsRefused,), "{host} does not take letters for this address."),
    (
        (SMTPSenderRefused,),
        "{host} does not take letters from the address of this site; set DEFAULT_FROM_EMAIL to one"
        " that it knows.",
    ),
    ((SMTPDataError,), "{host} read the letter and did not take it."),
    (
        (SMTPNotSupportedError,),
        "{host} does not offer what EMAIL_URL asks for, such as TLS or a sign-in.",
    ),
    (
        (ssl.SSLError,),
        "No safe connection to {host}: its certificate, or its kind of TLS, does not fit. smtp+tls"
        " is for port 587, smtp+ssl for port 465.",
    ),
    ((socket.gaierror,), "There is no mail server of the name {host}; check EMAIL_URL."),
    (
        (TimeoutError,),
        "{host} did not answer in time; a firewall may stand between, or the port is wrong.",
    ),
    (
        (ConnectionRefusedError,),
        "Nothing listens for mail at {host} on that port; check EMAIL_URL.",
    ),
    (
        (SMTPServerDisconnected, SMTPConnectError, ConnectionError),
        "{host} broke the connection off.",
    ),
]
"""Kind of fault -> what it means; the first that fits."""
