"""Telling the managers that somebody could not be reached; never about such a notice itself."""

from datetime import datetime

from scheduling.models import Notice
from scheduling.notices.addressees import managers
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import write
from scheduling.notices.posting import NewNotice, put

OWN_ADDRESS = "This is about your own address, so it was not sent there."


def tell_managers(failed: Notice, now: datetime) -> int:
    """Make a notice to each manager of the shop; return how many."""
    if failed.kind == Notice.Kind.UNDELIVERED:
        return 0
    subject = f"A notice to {failed.person} could not be delivered"
    letter = write("undelivered", subject, {"failed": failed, "person": failed.person})
    kind = Notice.Kind.UNDELIVERED
    cause = NoticeCause(kind, about_id=failed.pk, booking_id=failed.booking_id)
    made = [
        put(
            NewNotice(
                cause=cause,
                person=manager,
                shop=failed.shop,
                letter=letter,
                machine=failed.machine,
                by_mail=manager != failed.person,
                why_not="" if manager != failed.person else OWN_ADDRESS,
            ),
            now,
        )
        for manager in managers(failed.shop)
    ]
    return len([notice for notice in made if notice])
