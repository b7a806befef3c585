"""Letters as their reader chose: one digest a day, not at all, to somebody else."""

from datetime import time, timedelta

from django.core import mail

from scheduling.models import LetterChoice, LetterHours, Notice, OutboxEntry
from scheduling.notices.causes import cause_of_day
from scheduling.notices.letter import Letter
from scheduling.notices.posting import NewNotice, put
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON, TODAY

PARTS, RELEASED, HELD = Notice.Kind.PARTS, Notice.Kind.RELEASED, Notice.Kind.HELD
MORNING = NOON.replace(hour=6) + timedelta(days=1)


def letter(person, kind, subject, number=0):
    text = f"{subject}: the text\n\n--\nthe foot\n"
    written = Letter(subject, text, f"<body><h1 >{subject}</h1></body>")
    new = NewNotice(cause_of_day(kind, TODAY), person, person.shop, written, round=number)
    return put(new, NOON)


def choose(person, how, *kinds, instead=None):
    for kind in kinds:
        LetterChoice.objects.create(person=person, kind=kind, how=how, instead=instead)


def work_off(now):
    for _ in range(4):
        for entry in OutboxEntry.objects.filter(done_at=None, failed_at=None, due_at__lte=now):
            perform_entry(entry.pk, now)


def test_what_waits_for_the_morning_comes_in_one_letter(manager):
    choose(manager, "morning", PARTS, RELEASED)
    for kind in (PARTS, RELEASED):
        letter(manager, kind, f"about {kind}")
    work_off(NOON)
    assert mail.outbox == []
    work_off(MORNING)
    (whole,) = mail.outbox
    assert "2 letters of" in whole.subject
    assert "about parts: the text" in whole.body
    assert "about released: the text" in whole.body
    assert whole.body.count("the foot") == 0
    assert {one.status for one in Notice.objects.exclude(kind="digest")} == {
        "told in the letter of the morning"
    }
    work_off(MORNING + timedelta(days=1))
    assert len(mail.outbox) == 1


def test_one_that_waits_alone_comes_as_it_is(manager):
    choose(manager, "morning", PARTS)
    letter(manager, PARTS, "filters")
    work_off(MORNING)
    assert [each.subject for each in mail.outbox] == ["filters"]


def test_what_is_not_wanted_is_kept_on_the_page_and_is_no_fault(manager):
    choose(manager, "not", PARTS)
    notice = letter(manager, PARTS, "filters")
    work_off(NOON)
    notice.refresh_from_db()
    assert (notice.status, notice.failed_at, mail.outbox) == ("kept here, as chosen", None, [])


def test_safety_is_sent_whatever_stands_in_the_table(manager):
    choose(manager, "not", HELD)
    letter(manager, HELD, "SL-04 held")
    work_off(NOON)
    assert len(mail.outbox) == 1


def test_it_goes_to_somebody_else_and_says_for_whom_it_was(manager, desk):
    choose(manager, "once", HELD, instead=desk)
    letter(manager, HELD, "SL-04 held")
    work_off(NOON)
    (sent,) = mail.outbox
    assert sent.to == [desk.email]
    assert sent.body.startswith(f"This letter is for {manager}")
    assert f"This letter is for {manager}" in sent.alternatives[0].content


def test_who_gets_the_same_letter_anyway_gets_it_once(manager, desk):
    choose(manager, "once", HELD, instead=desk)
    hers = letter(manager, HELD, "SL-04 held")
    theirs = letter(desk, HELD, "SL-04 held")
    work_off(NOON)
    (sent,) = mail.outbox
    assert (sent.to, "This letter is for" in sent.body) == ([desk.email], False)
    hers.refresh_from_db()
    theirs.refresh_from_db()
    assert (hers.status, hers.told_in) == ("told in one like it", theirs)
    assert theirs.status == "sent"


def test_one_letter_of_two_who_send_theirs_to_a_third_is_enough(manager, mechanic, desk):
    for person in (manager, mechanic):
        choose(person, "once", HELD, instead=desk)
        letter(person, HELD, "SL-04 held")
    work_off(NOON)
    assert [each.to for each in mail.outbox] == [[desk.email]]


def test_two_who_get_each_others_letters_get_one_each(manager, desk):
    choose(manager, "once", HELD, instead=desk)
    choose(desk, "once", HELD, instead=manager)
    letter(manager, HELD, "SL-04 held")
    letter(desk, HELD, "SL-04 held")
    work_off(NOON)
    assert sorted(each.to for each in mail.outbox) == sorted([[desk.email], [manager.email]])


def test_letters_of_one_cause_that_say_different_things_are_both_sent(manager, desk):
    choose(manager, "once", PARTS, instead=desk)
    letter(manager, PARTS, "filters of one yard")
    letter(desk, PARTS, "filters of another")
    work_off(NOON)
    assert len(mail.outbox) == 2


def test_one_who_left_gets_nobodys_letters(manager, desk):
    choose(manager, "once", HELD, instead=desk)
    desk.is_active = False
    desk.save()
    letter(manager, HELD, "SL-04 held")
    work_off(NOON)
    assert mail.outbox[0].to == [manager.email]


def test_quiet_hours_hold_back_until_they_are_over(manager):
    LetterHours.objects.create(person=manager, quiet_from=time(11), quiet_to=time(13))
    letter(manager, PARTS, "filters")
    letter(manager, HELD, "SL-04 held")
    work_off(NOON)
    assert [each.subject for each in mail.outbox] == ["SL-04 held"]
    work_off(NOON + timedelta(hours=1))
    assert [each.subject for each in mail.outbox] == ["SL-04 held", "filters"]


def test_no_choice_at_all_is_at_once(db):
    letter(factories.Person(), PARTS, "filters")
    work_off(NOON)
    assert len(mail.outbox) == 1
