"""A test letter to one address, and what the mail server said of it, in words."""

from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime, make_msgid
from urllib.parse import urlsplit

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.utils.translation import gettext

from scheduling.notices.mail_server import handed_over

SUBJECT = "A test letter from Evener"
TEXT = """This is a test letter from Evener at {base}.

If you read it, letters of the site reach you. Nothing has to be done.
"""


@dataclass(frozen=True)
class TrialAnswer:
    """Whether a server took the letter, and the sentences that say so."""

    taken: bool
    said: str


def send_trial(address: str, now: datetime) -> TrialAnswer:
    """Send a test letter at once; nothing of it is kept."""
    try:
        validate_email(address)
    except ValidationError:
        return TrialAnswer(False, f"{address!r} is not an e-mail address.")
    mail = EmailMessage(
        gettext(SUBJECT),
        gettext(TEXT).format(base=settings.BASE_URL),
        to=[address],
        headers={
            "Message-ID": make_msgid(domain=urlsplit(settings.BASE_URL).hostname),
            "Date": format_datetime(now),
            "Auto-Submitted": "auto-generated",
        },
    )
    with handed_over(mail) as answer:
        if not answer.taken:
            return TrialAnswer(False, f"{answer.words} It said: {answer.named}")
    if not settings.EMAIL_BACKEND.endswith("smtp.EmailBackend"):
        where = getattr(settings, "EMAIL_FILE_PATH", "")
        said = "No mail server is set (EMAIL_URL), so the letter was sent to nobody."
        return TrialAnswer(True, f"{said} It was written to a file in {where}." if where else said)
    return TrialAnswer(
        True,
        f"{settings.EMAIL_HOST} took the letter to {address}. If it does not arrive, look into the"
        " folder for junk mail.",
    )
