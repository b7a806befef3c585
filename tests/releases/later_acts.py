"""What people do with what came since the first release, so that its tables do not stand empty.

Photos are left out: their files are no part of a database.
"""

from datetime import timedelta
from decimal import Decimal

from fleet.actions.answer_once import answer_once
from fleet.actions.class_lines import NewClassLine, write_class_line
from fleet.actions.find_faults import FaultWords, begin_search, note_fault, note_outcome
from fleet.actions.keep_manual import SaidByManual, SaidFigure, keep_manual
from fleet.actions.keep_sheet_entries import NewEntry, keep_entries
from fleet.actions.keep_with_hand_over import NewCharge, add_charge
from fleet.actions.key_hands import Phone, make_hand_key, note_hand_sign_in
from fleet.actions.make_keys import NewKey, make_key
from fleet.actions.open_feeds import open_feed
from fleet.actions.order_parts import MissingPart, miss_part, order_line
from fleet.actions.press_once import claim_press, keep_answer
from fleet.actions.record_work import WorkDone, record_services
from fleet.actions.rename_machines import rename_machine
from fleet.actions.wait_list import NewWait, end_wait, wait_for
from fleet.bring_in.import_acts import begin, bring_at_once
from fleet.models import (
    HandKeyKind,
    HandOver,
    Hire,
    KeyScope,
    Machine,
    MachineClass,
    OrderedFor,
    Part,
    Person,
    Role,
    Service,
    Substitute,
)
from fleet.procedures.fault_library import symptoms
from fleet.procedures.given_answers import GivenAnswer
from scheduling.actions.choose_letters import Hours, KindChoice, LetterWishes, choose_letters
from scheduling.models import LetterChoice, Notice
from tests.releases.acting_people import ActingPeople

BROUGHT = b"""tag,class,yard,plate,hours now
ZZ-901,Release trial,%(yard)s,RT 1,12
,Release trial,%(yard)s,RT 2,14
"""
"""A machine whose class is made with it, and a row that is refused."""


def use_what_came_since(people: ActingPeople) -> None:
    """Do one of each."""
    bring_lists(people)
    give_keys(people)
    look_for_a_fault(people)
    lack_a_part(people)
    serve_customers(people)
    work_at_the_bench(people)
    choose_letters_of(people.manager, people)


def bring_lists(people: ActingPeople) -> None:
    """A list with a row refused, one that waits to come in; the machine gets another tag."""
    yard = people.shop.yards.order_by("pk")[0]
    content = BROUGHT % {b"yard": yard.name.encode()}
    who = {"by": people.manager, "now": people.now}
    bring_at_once(content, "machines.csv", make_missing=True, **who)
    begin(content, "machines-again.csv", make_missing=False, **who)
    machine = Machine.objects.get(tag="ZZ-901")
    rename_machine(machine, "ZZ-902", reason="the plate was misread", **who)


def give_keys(people: ActingPeople) -> None:
    """A hand's code, used once; a client's key, asked twice; a feed of a yard's bookings."""
    who = {"by": people.manager, "now": people.now}
    hand = Person.objects.create(
        username="release-hand", first_name="Release", role=Role.HAND, shop=people.shop
    )
    key, _ = make_hand_key(hand, HandKeyKind.CODE, **who)
    note_hand_sign_in(key, Phone("127.0.0.1", "a phone"), now=people.now)
    client, _ = make_key(NewKey("gate", [KeyScope.READ], people.shop), **who)
    for _ in range(2):
        answer_once(client, "once", b"asked", lambda: (200, {"taken": True}), people.now)
    open_feed(people.shop, **who)


def look_for_a_fault(people: ActingPeople) -> None:
    """A search with an outcome and its cause; what the manual says of the make-up."""
    machine = own_machine(people)
    who = {"by": people.mechanic, "now": people.now}
    symptom = symptoms()[0]
    check = symptom.checks[0]
    search = begin_search(machine, symptom.key, "release-search", **who)
    note_outcome(search, check.key, check.outcomes[0].key, **who)
    note_fault(search, FaultWords("a wire was loose", gravity="note"), **who)
    figure = SaidFigure("drain plug torque", words="25 N m, then a quarter", source="p. 12")
    keep_manual(machine.makeup, SaidByManual(figures=[figure]), by=people.manager, now=people.now)


def lack_a_part(people: ActingPeople) -> None:
    """A part that is not on the shelf, and is ordered."""
    part = Part.objects.filter(kind=Part.Kind.PIECE).order_by("pk")[0]
    day = people.today + timedelta(days=6)
    service = Service.objects.order_by("-pk")[0]
    jobs = [OrderedFor(machine=own_machine(people), service=service, day=day)]
    missing = MissingPart(part, people.shop, 3.0, 1.0, day, jobs)
    line = miss_part(missing, by=people.mechanic, now=people.now)
    assert line is not None
    order_line(line, people.today + timedelta(days=4), by=people.manager, now=people.now)


def serve_customers(people: ActingPeople) -> None:
    """Somebody waits, another not any more; any machine of a class; a charge at a return."""
    who = {"by": people.desk, "now": people.now}
    machine = own_machine(people)
    yard, kind = machine.yard, machine.makeup.machine_class
    other = MachineClass.objects.exclude(pk=kind.pk).order_by("pk")[0]
    Substitute.objects.get_or_create(machine_class=kind, instead=other)
    hire = Hire.objects.filter(customer__isnull=False).order_by("pk")[0]
    first, last = people.today + timedelta(days=60), people.today + timedelta(days=62)
    for note in ("by telephone", "called twice"):
        row = wait_for(NewWait(hire.customer, kind, yard, first, last, note=note), **who)
    end_wait(row, why="went elsewhere", **who)
    write_class_line(NewClassLine(hire, kind, yard, first, last, Decimal(90)), **who)
    back = HandOver.objects.filter(direction=HandOver.Direction.BACK).order_by("pk")[0]
    add_charge(back, NewCharge("washing", Decimal(35)), **who)


def work_at_the_bench(people: ActingPeople) -> None:
    """A job sheet that is half typed, a press that was answered, work with answers at its steps."""
    entry = NewEntry("note", "seat torn", people.now, "release-entry", "Note")
    keep_entries(own_machine(people), "release-sheet", [entry], by=people.mechanic, now=people.now)
    press, _ = claim_press(people.mechanic, "release-press", "0" * 64, people.now)
    assert press is not None
    keep_answer(press, {"status": 302, "headers": {"Location": "/bench/"}}, people.now)
    answers = [GivenAnswer("hoses", "good"), GivenAnswer("oil-fill", "done", 2400.0)]
    service = Service.objects.order_by("pk")[0]
    done = WorkDone(own_machine(people), service, people.now, people.mechanic, answers=answers)
    record_services([done], by=people.mechanic, now=people.now)


def choose_letters_of(person: Person, people: ActingPeople) -> None:
    """Somebody wants one kind of letter in the morning alone, and none at night."""
    choice = KindChoice(LetterChoice.How.MORNING)
    wanted = LetterWishes({Notice.Kind.CHANGED: choice}, Hours(unanswered_hours=12))
    choose_letters(person, wanted, by=person, now=people.now)


def own_machine(people: ActingPeople) -> Machine:
    """Return the first machine of the shop."""
    return Machine.objects.filter(yard__shop=people.shop, retired_on=None).order_by("pk")[0]
