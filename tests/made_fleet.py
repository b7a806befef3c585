"""One small shop with a row of every kind, so that every address can be opened and tried on it."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet import models
from fleet.models import HandOver, Person, Role, Shop
from scheduling.models import Notice, PlanSearch, Trial
from tests import consequences, factories


@dataclass(frozen=True)
class MadeFleet:
    """A shop, its people by role, and its machine."""

    shop: Shop
    people: dict[str, Person]
    machine: models.Machine
    now: datetime


def make_fleet(now: datetime, name: str = "Made") -> MadeFleet:
    """Make a shop with a row of every model of ours; `name` keeps two of them apart."""
    shop = factories.Shop(name=name)
    people = {
        role: factories.Person(username=f"{name}-{role}".lower(), role=role, shop=shop)
        for role in Role
    }
    machine = factories.Machine(
        tag=f"{name[:3].upper()}-1", yard__shop=shop, yard__name=f"{name} yard",
        serial=f"{name}-1", makeup__machine_class__name=f"{name} class",
    )  # fmt: skip
    made = MadeFleet(shop, people, machine, now)
    _set_up(made)
    record = _book_of_services(made)
    _desk(made)
    _decisions(made, record)
    _consequences(made)
    return made


def _set_up(made: MadeFleet) -> None:
    shop, machine, today = made.shop, made.machine, made.now.date()
    boss, makeup, kind = made.people["manager"], machine.makeup, machine.makeup.machine_class
    skill = factories.Skill(name=f"{shop.name} skill")
    part = factories.Part(number=f"{shop.name}-P")
    service = factories.Interval(makeup=makeup, service__name=f"{shop.name} oil").service
    covered = factories.Service(name=f"{shop.name} grease", skill=skill)
    factories.Interval(makeup=None, machine=machine, service=covered)
    factories.cover(makeup, service, covered)
    rows = [
        models.ClosedDay(shop=shop, day=today + timedelta(days=40)),
        models.Qualification(person=made.people["mechanic"], skill=skill),
        models.WorkingHours(person=made.people["mechanic"], weekday=0, hours=8),
        models.Absence(
            person=made.people["mechanic"], first_day=today + timedelta(days=50),
            last_day=today + timedelta(days=51),
        ),
        models.MakeUpMeter(makeup=makeup, kind="hours"),
        models.Fluid(makeup=makeup, place="engine oil", capacity_ml=5000, part=part),
        models.FittingPart(makeup=makeup, place="oil filter", part=part),
        models.Accessory(machine_class=kind, words="key"),
        models.WalkRoundPoint(machine_class=kind, words="lights work", key=f"p{shop.pk}"),
        models.Substitute(machine_class=kind, instead=factories.MachineClass()),
        models.Alteration(machine=machine, text="longer boom", noted_by=boss),
        models.Storage(machine=machine, first_day=today - timedelta(days=300)),
        models.Caution(
            code=f"c{shop.pk}", signal="WARNING", text="Let it cool.", source="common practice"
        ),
        models.SetUp(name=f"{shop.name} stand"),
        models.ServiceStep(service=service, position=1, text="drain the oil"),
        models.ServiceNeed(service=service, place="oil filter"),
        models.LibraryCopy(
            service=covered, code=f"quad-basic-{shop.pk}", body={}, taken_at=made.now
        ),
        models.DoneText(digest=f"text-{shop.pk}", steps=[]),
        models.Limit(service=service, name="pressure"),
        models.StockMovement(part=part, shop=shop, quantity=5, reason="count", at=made.now),
        models.OpenDay(shop=shop, day=today + timedelta(days=41), hours=4, at=made.now),
        models.OvertimeDay(shop=shop, day=today + timedelta(days=42), hours=1, at=made.now),
        models.FormerTag(machine=machine, tag=f"OLD{shop.pk}", given_up_at=made.now),
        models.CalendarKey(person=made.people["mechanic"], made_at=made.now),
        models.FeedKey(shop=shop, made_at=made.now),
        models.DemoMark(machines=1, seed=1, loaded_for=today, lived_to=today),
    ]  # fmt: skip
    for row in rows:
        row.save()
    delivery = factories.Delivery(part=part, shop=shop, expected_on=today)
    line = models.OrderLine.objects.create(
        part=part, shop=shop, quantity=1, need_by=today, asked_at=made.now,
        asked_by=made.people["mechanic"],
    )  # fmt: skip
    models.OrderedFor.objects.create(line=line, machine=machine, service=service, day=today)
    models.DeliveryChange.objects.create(
        delivery=delivery, old_expected_on=today, new_expected_on=today, at=made.now
    )
    factories.BayLoan(shop=shop)
    factories.LentHand(shop=shop, name=f"{shop.name} hand")
    factories.CapacitySpell(shop=shop)
    factories.SeasonWeight(yard=machine.yard)


def _book_of_services(made: MadeFleet) -> models.ServiceRecord:
    machine, now, boss = made.machine, made.now, made.people["manager"]
    meter = factories.Meter(machine=machine)
    reading = factories.Reading(meter=meter, read_at=now - timedelta(days=2))
    service = machine.makeup.intervals.get().service
    record = factories.ServiceRecord(
        machine=machine, service=service, done_at=now - timedelta(days=1),
        done_by=made.people["mechanic"],
    )  # fmt: skip
    limit = service.limits.get()
    rows = [
        models.RecordedMeter(record=record, meter=meter, value=100),
        models.Measurement(record=record, limit=limit, value=3),
        models.StepAnswer(record=record, step="s", answer="good", by=boss, at=now),
        models.LastDoneAnswer(machine=machine, service=service, answer="never", said_at=now),
        models.ReadingToMend(
            fingerprint=made.shop.name, source="file", reason="backwards", sentence="lower",
            entered_at=now, machine=machine, mended_as=reading,
        ),
        models.ReadingToMend(
            fingerprint=f"{made.shop.name} 2", source="file", reason="backwards", sentence="lower",
            entered_at=now, machine=machine, entered_by=boss, value_text="1",
        ),
        models.Progress(
            machine=machine, work_key=f"m:{machine.pk}:9", done_by=made.people["mechanic"], at=now,
            minutes=5, minutes_left=5,
        ),
        models.SheetEntry(
            machine=machine, by=made.people["mechanic"], sheet="s", field="note", value="worn",
            typed_at=now, kept_at=now, key="k",
        ),
    ]  # fmt: skip
    for row in rows:
        row.save()
    return record


def _desk(made: MadeFleet) -> None:
    machine, now, today = made.machine, made.now, made.now.date()
    customer = factories.Customer(name=f"{made.shop.name} farm")
    hires = {"customer": customer.name, "machine": machine}
    gone = factories.Booking(
        **hires, first_day=today - timedelta(days=9), last_day=today - timedelta(days=7)
    )
    models.HandOver.objects.create(booking=gone, direction=HandOver.Direction.OUT, at=now)
    back = models.HandOver.objects.create(booking=gone, direction=HandOver.Direction.BACK, at=now)
    models.HandOverPhoto.objects.create(
        hand_over=back, name="2026/03/a.jpg", wide=4, high=3, digest="a", at=now
    )
    models.HandOverCharge.objects.create(hand_over=back, what="fuel", amount=20, at=now)
    out = factories.Booking(**hires, first_day=today, last_day=today + timedelta(days=1))
    models.HandOver.objects.create(booking=out, direction=HandOver.Direction.OUT, at=now)
    first = today + timedelta(days=5)
    coming = factories.Booking(**hires, first_day=first, last_day=first)
    kind = machine.makeup.machine_class
    rows = [
        models.BookingChange(booking=coming, old_last_day=first, new_last_day=first, at=now),
        models.ClassLine(
            hire=coming.hire, machine_class=kind, yard=machine.yard, first_day=first,
            last_day=first, made_at=now,
        ),
        models.Waiting(
            customer=customer, machine_class=kind, yard=machine.yard, first_day=first,
            last_day=first, made_at=now,
        ),
        models.Override(
            booking=coming, machine=machine, against="due", reason="short job",
            by=made.people["desk"], at=now,
        ),
    ]  # fmt: skip
    for row in rows:
        row.save()


def _decisions(made: MadeFleet, record: models.ServiceRecord) -> None:
    machine, now, today = made.machine, made.now, made.now.date()
    boss, who = made.people["manager"], {"by": made.people["manager"], "at": made.now}
    finding = factories.Finding(machine=machine, seen_at=now, seen_by=boss, seen_during=record)
    factories.Hold(machine=machine, placed_at=now, placed_by=boss, finding=finding)
    models.FindingPhoto.objects.create(
        finding=finding, name=f"2026/03/f{finding.pk}.jpg", wide=4, high=3, digest="a", at=now
    )
    models.StepPicture.objects.create(
        name=f"2026/03/p{finding.pk}.jpg", wide=4, high=3, digest="a", shows="The marks.",
        by=boss, at=now,
    )  # fmt: skip
    models.WorkPhoto.objects.create(
        machine=machine, service=record.service, step="photos", words="All four sides.",
        name=f"2026/03/w{finding.pk}.jpg", wide=4, high=3, digest="a", by=boss, at=now,
    )  # fmt: skip
    search = models.FaultSearch.objects.create(
        machine=machine, symptom="dead", words="Dead", begun_at=now, begun_by=boss,
        form_key=f"search-{made.shop.pk}",
    )  # fmt: skip
    search.outcomes.create(
        check_key="fuse", words="Fuse", outcome="blown", showed="Blown", at=now, by=boss
    )
    models.FoundFault.objects.create(
        search=search, cause="fuse", words="A fuse", finding=finding, at=now, by=boss
    )
    key = f"m:{machine.pk}:{record.service_id}"
    word = f"{made.shop.name}-key"
    client = models.ClientKey.objects.create(
        name=word, shop=made.shop, digest=word, hint=word, made_at=now, answers=boss
    )
    kept = models.KeptDay.objects.create(
        shop=made.shop, day=today, kept_at=now, minutes=60, minutes_there=480
    )
    hand_key = models.HandKey.objects.create(
        person=made.people["hand"], kind="code", digest=word, made_at=now, made_by=boss
    )
    models.HandKeyUse.objects.create(key=hand_key, at=now)
    brought = models.Import.objects.create(
        file_name=f"{made.shop.name}.csv",
        made_at=now,
        by=boss,
        stage=models.Import.Stage.DONE,
        choices={"shop": made.shop.pk},
    )
    rows = [
        models.Press(by=boss, key=word, digest="d", at=now),
        models.KeptAnswer(client=client, word="w", asked="a", at=now),
        models.KeptWork(kept_day=kept, machine=machine, work_key=key, title="oil", minutes=60,
                        service=record.service, mechanic=made.people["mechanic"]),
        models.Pin(machine=machine, work_key=key, day=today, **who),
        models.PutOff(machine=machine, work_key=key, day=today, reason="no part", **who),
        models.WorkEstimate(machine=machine, work_key=key, minutes=90, **who),
        models.Release(shop=made.shop, first_day=today, last_day=today, **who),
        models.Act(what="finding", words="the finding", machine=machine, **who,
                   rows={"finding": [finding.pk]}, key=f"{made.shop.name}-act"),
        models.LoggedChange(at=now, by=boss, kind="machine", subject_id=machine.pk,
                            subject=machine.tag, machine=machine, act="changed"),
        models.ImportFile(of_import=brought, content=b"tag"),
        models.ImportRefusal(of_import=brought, sheet="s", line=2, reason="no tag"),
        models.ToComplete(of_import=brought, model="machine", row_id=machine.pk, name="x",
                          lacks="a serial"),
    ]  # fmt: skip
    for row in rows:
        row.save()


def _consequences(made: MadeFleet) -> None:
    machine, today, mechanic = made.machine, made.now.date(), made.people["mechanic"]
    service = machine.makeup.intervals.get().service
    plan = consequences.Plan(shop=made.shop, made_at=made.now, first_day=today)
    job = consequences.PlannedJob(plan=plan, machine=machine, day=today, mechanic=mechanic)
    consequences.PlannedWork(job=job, service=service)
    consequences.DuePoint(machine=machine, service=service)
    consequences.MachineState(machine=machine, computed_for=today)
    trial = Trial.objects.create(shop=made.shop, changes=[], made_at=made.now)
    PlanSearch.objects.create(shop=made.shop, cause="hand", trial=trial, asked_at=made.now)
    for person in made.people.values():
        Notice.objects.create(
            kind=Notice.Kind.MORNING, person=person, shop=made.shop, subject="s", text="t",
            html="<p>t</p>", made_at=made.now, day=today,
        )  # fmt: skip
