"""A notice as an Internet message (RFC 5322), text and HTML, with what its reader can do."""

from email.mime.base import MIMEBase
from email.mime.text import MIMEText
from email.utils import format_datetime
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.urls import reverse

from fleet.models import Person
from fleet.password_links import link_for
from scheduling.calendar.calendar_days import days_of, plan_made_at
from scheduling.calendar.feed import Feed, calendar_bytes
from scheduling.calendar.revisions import revisions
from scheduling.models import Notice
from scheduling.notices.chosen import redirected, redirected_html
from scheduling.notices.open_warnings import waits_for_answer
from scheduling.notices.password_letter import with_link
from scheduling.notices.signed_links import answer_url, stop_url
from scheduling.notices.wishes import may_be_off

IN_HAND = "Is it in hand? Say so, and nobody else is told: {url}"


def message(notice: Notice, instead: Person | None = None) -> EmailMultiAlternatives:
    """Make the message; made twice from one notice it is the same message.

    instead: who gets it in place of the person for whom it was written.  Auto-Submitted keeps
    out-of-office programs from answering (RFC 3834 section 5).
    """
    text, html = notice.text, notice.html
    if instead:
        text, html = redirected(text, notice.person), redirected_html(html, notice.person)
    if notice.kind == Notice.Kind.PASSWORD:
        text, html = with_link(text, html, link_for(notice.person))
    if waits_for_answer(notice):
        text, html = _with_answer(text, html, answer_url(notice))
    to = (instead or notice.person).email
    mail = EmailMultiAlternatives(notice.subject, text, to=[to], headers=_headers(notice))
    mail.attach_alternative(html, "text/html")
    if notice.kind == Notice.Kind.DAY_LIST and (day := _day_as_calendar(notice)):
        mail.attach(day)
    return mail


def _headers(notice: Notice) -> dict[str, str]:
    """Return the headers; one-click leave needs HTTPS (RFC 8058 section 3.1)."""
    headers = {
        "Message-ID": message_id(notice),
        "Date": format_datetime(notice.made_at),
        "Auto-Submitted": "auto-generated",
    }
    if may_be_off(notice.kind):
        url = stop_url(notice)
        headers["List-Unsubscribe"] = f"<{url}>"
        if url.startswith("https://"):
            headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def _with_answer(text: str, html: str, url: str) -> tuple[str, str]:
    said = IN_HAND.format(url=url)
    shown = f'<p style="margin:24px 0 0"><a href="{url}">It is in hand</a></p>\n</body>'
    head, foot, rest = text.partition("\n--\n")
    return f"{head}\n{said}\n{foot}{rest}", html.replace("</body>", shown, 1)


def _day_as_calendar(notice: Notice) -> MIMEBase | None:
    """Return the mechanic's shop day as a calendar entry (RFC 5545, RFC 6047 without a method)."""
    days = [one for one in days_of(notice.person) if one.day == notice.day]
    if not days:
        return None
    page = settings.BASE_URL + reverse("bench") + "?day={day}&mechanic={name}"
    made_at = plan_made_at(notice.shop) or notice.made_at
    calendar = calendar_bytes(days, revisions(days), Feed("Your shop day", page, made_at))
    part = MIMEText(calendar.decode(), "calendar", "utf-8")
    part.add_header("Content-Disposition", "attachment", filename=f"{notice.day}.ics")
    return part


def message_id(notice: Notice) -> str:
    """Return an identifier that follows from the notice's mark, so that a repeat can be told."""
    return f"<{notice.mark.hex}@{urlsplit(settings.BASE_URL).hostname}>"
