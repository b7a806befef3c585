"""The job sheet at the bench: finish, part-finish, odd readings, put off, bad input."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.urls import reverse

from fleet.actions.correct_records import correct_record, work_of
from fleet.models import (
    Caution,
    Finding,
    Hold,
    Measurement,
    Pin,
    Progress,
    PutOff,
    Qualification,
    Reading,
    Role,
    ServiceRecord,
    Skill,
    StockMovement,
)
from fleet.work_keys import repair_key
from scheduling.due.refresh import refresh
from scheduling.models import DuePoint, Plan, PlannedJob
from tests import consequences, factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def address(case) -> str:
    return f"{reverse('job', args=[case.machine.tag])}?day={TODAY}"


def filled(**more) -> dict[str, object]:
    return {"form_key": "a" * 32, "done": [key_of("Q-1", "oil")], "reading_hours": "125.5"} | more


def test_the_sheet_shows_steps_cautions_limits_and_the_manual_first(client, case):
    text = client.get(address(case)).content.decode()
    for words in (
        "Drain warm",
        "Hot oil burns.",
        "Oil pressure",
        "at least 200",
        "own manual, local codes and licensed practice",
    ):
        assert words in text


def test_a_finished_job_stands_in_the_book_once_however_often_it_is_sent(client, case):
    for _ in range(2):
        client.post(address(case), filled(minutes="50"))
    record = ServiceRecord.objects.get()
    assert (record.service, record.minutes) == (case.service, 50)
    assert record.meters.get().value == 125.5


@pytest.mark.parametrize("typed", ["-37.5", "−37,5", "– 37.5"])
def test_what_is_measured_may_lie_below_zero(client, case, typed):
    case.service.limits.update(low=None, high=-34, unit="°C")
    limit = case.service.limits.get()
    client.post(address(case), filled() | {f"limit_{limit.pk}": typed})
    assert Measurement.objects.get().value == -37.5


def test_an_odd_measurement_is_asked_about_once_and_the_answer_is_of_that_value_alone(client, case):
    limit = case.service.limits.get()  # oil pressure, at least 200
    name = f"limit_{limit.pk}"
    page = client.post(address(case), filled() | {name: "3800"})
    assert "19 times the limit of 200" in page.text
    assert '<a href="#really-so">' in page.text  # the tick stands far below what is asked
    assert 'id="really-so"' in page.text
    assert not ServiceRecord.objects.exists()
    mark = f"{name}: {limit.name} 3800 {limit.unit}"
    page = client.post(address(case), filled() | {name: "4800", "really_so": mark})
    assert "24 times the limit of 200" in page.text
    client.post(address(case), filled(note="new gauge") | {name: "3800", "really_so": mark})
    record = ServiceRecord.objects.get()
    assert record.measurements.get().value == 3800
    assert record.note == f"new gauge Really so: {limit.name} 3800 {limit.unit}."


@pytest.mark.parametrize("times", [2, 9.6, 11, 60])
def test_more_than_the_sump_takes_is_asked_about_and_never_refused(client, case, times):
    sheet = client.get(address(case))
    (oil,) = (field for field in sheet.context["form"].part_rows() if "qt" in field.label)
    takes = float(oil.initial)
    page = client.post(address(case), filled() | {oil.name: f"{times * takes}"})
    assert "Is it really so" in page.text
    assert ("is unlikely" in page.text) is (times >= 10)
    assert not StockMovement.objects.filter(record__isnull=False).exists()
    (tick, _, _) = page.context["form"].doubts.ticks[0]
    client.post(address(case), filled() | {oil.name: f"{times * takes}", "really_so": tick})
    assert ServiceRecord.objects.count() == 1


def test_a_limit_below_zero_asks_for_keys_with_a_minus(client, case):
    assert 'inputmode="text"' not in client.get(address(case)).content.decode()
    case.service.limits.update(low=None, high=-34)
    assert 'inputmode="text"' in client.get(address(case)).content.decode()


def test_each_meter_says_what_it_showed_last(client, case):
    assert "Last read 120.0 h, Fri 27 Feb" in client.get(address(case)).content.decode()
    Reading.objects.all().delete()
    assert "Never read" in client.get(address(case)).content.decode()


def test_work_that_is_nearly_due_brings_its_own_cautions(client, case):
    other = factories.Service(code="belt", name="Drive belt")
    other.cautions.add(
        Caution.objects.create(code="belt", signal="danger", text="Belts pull.", source="x")
    )
    consequences.DuePoint(machine=case.machine, service=other, state="due")
    text = client.get(address(case)).content.decode()
    assert text.index("Hot oil burns.") < text.index("Drive belt") < text.index("Belts pull.")


def test_an_odd_reading_is_asked_about_and_taken_as_answered(client, case):
    text = client.post(address(case), filled(reading_hours="20.0")).content.decode()
    assert "The meter was swapped" in text
    assert 'value="20.0"' in text
    assert not ServiceRecord.objects.exists()
    client.post(address(case), filled(reading_hours="20.0", answer_hours="swapped"))
    assert Reading.objects.filter(value=20, meter__removed_at=None).exists()


def test_what_was_taken_from_the_shelf_is_written_in_stored_units(client, case):
    """One US quart is 946.352946 mL exactly (NIST SP 811, 2008, appendix B)."""
    part = case.machine.makeup.fluids.get().part
    client.post(address(case), filled(**{f"part_{part.pk}": "2"}))
    assert StockMovement.objects.get(part=part).quantity == pytest.approx(-2 * 946.352946)


def test_a_measurement_below_its_limit_is_asked_how_soon_and_becomes_a_job_or_a_hold(client, case):
    name = f"limit_{case.service.limits.get().pk}"
    page = client.post(address(case), filled(**{name: "150"}))
    assert "Say below how soon it must be seen to" in page.text
    assert not ServiceRecord.objects.exists()
    client.post(address(case), filled(**{name: "150", f"soon_{name}": "plan"}))
    assert "below the limit" in Finding.objects.get(gravity="defect").text
    assert not Hold.objects.exists()


def test_what_must_not_work_like_that_is_held_at_once_and_the_sheet_says_so(client, case):
    name = f"limit_{case.service.limits.get().pk}"
    client.post(address(case), filled(**{name: "150", f"soon_{name}": "hold"}))
    assert "below the limit" in Hold.objects.get(released_at=None).reason
    answer = client.get(address(case)).text.split('class="answer"')[1].split("</p>")[0]
    assert "HELD" in answer
    assert "Oil pressure: 150 kPa, below the limit of 200 kPa" in answer


def test_a_measure_outside_a_limit_for_safety_holds_the_machine_without_a_question(client, case):
    case.service.limits.update(name="lining", unit="mm", low=1.5, safety=True)
    name = f"limit_{case.service.limits.get().pk}"
    client.post(address(case), filled(**{name: "1.2"}))
    assert Hold.objects.get(released_at=None).reason == "lining: 1.2 mm, below the limit of 1.5 mm"


def check_step(case, **more):
    return case.service.steps.create(
        position=2, key="hoses", kind="check", text="Hoses not chafed", **more
    )


def test_steps_are_drawn_by_kind_with_the_numbers_of_the_make_up(client, case):
    check_step(case)
    case.service.steps.create(
        position=3, kind="fill", place="engine oil", text="Fill {quantity} of {grade}", key="fill"
    )
    text = client.get(address(case)).text
    drain = case.service.steps.get(position=1)
    assert f'type="checkbox" name="step_{case.service.pk}_{drain.key}"' in text
    assert f'type="radio" name="step_{case.service.pk}_hoses" value="stop"' in text
    assert "2.11 qt" in text  # 2000 mL, a US quart is 946.352946 mL
    assert "{quantity}" not in text
    assert text.index("First: Engine oil and filter: Drain warm") < text.index("Hot oil burns.")


@pytest.mark.parametrize(("answer", "gravity"), [("attention", "defect"), ("stop", "unsafe")])
def test_a_check_that_is_not_good_becomes_a_job_or_a_hold_once(client, case, answer, gravity):
    check_step(case)
    for _ in range(2):
        client.post(address(case), filled(**{f"step_{case.service.pk}_hoses": answer}))
    assert Finding.objects.get().gravity == gravity
    assert "Hoses not chafed" in Finding.objects.get().text
    assert Hold.objects.exists() is (answer == "stop")


def test_an_inspection_is_not_finished_with_an_unanswered_check(client, case):
    check_step(case, required=True)
    skill = Skill.objects.create(name="inspector", by_certificate=True)
    case.service.skill = skill
    case.service.save()
    Qualification.objects.create(person=case.mechanic, skill=skill)
    measured = {f"limit_{case.service.limits.get().pk}": "250"}
    assert "answer “Hoses not chafed”" in client.post(address(case), filled(**measured)).text
    assert not ServiceRecord.objects.exists()
    client.post(address(case), filled(**measured, **{f"step_{case.service.pk}_hoses": "good"}))
    assert ServiceRecord.objects.count() == 1


def test_the_last_values_stand_beside_the_measure(client, case):
    name = f"limit_{case.service.limits.get().pk}"
    client.post(address(case), filled(**{name: "260"}))
    assert "last 260 on" in client.get(address(case)).text


def test_the_source_of_a_limit_stands_beside_it_and_the_procedure_is_one_press_away(client, case):
    case.service.limits.update(source="49 CFR 393.75(c): 2/32 inch (from memory)")
    text = client.get(address(case)).text
    assert "Limit by 49 CFR 393.75(c) (from memory)" in text
    assert f'href="{reverse("procedure", args=[case.service.pk])}"' in text


def test_the_sheet_says_how_long_a_service_takes_here_where_that_differs(client, case):
    for _ in range(6):
        factories.ServiceRecord(machine=case.machine, service=case.service, minutes=100)
    text = client.get(address(case)).text
    assert "Takes 1 h 24 min here" in text  # (4 x 60 + 6 x 100) / 10
    assert "learnt from 6 times" in text


def test_each_place_is_measured_alone_and_is_named_in_what_is_found(client, case):
    case.service.limits.update(name="lining", unit="mm", low=1.5, places="left, right")
    name = f"limit_{case.service.limits.get().pk}"
    typed = {f"{name}_0": "3", f"{name}_1": "1.2", f"soon_{name}_1": "plan"}
    client.post(address(case), filled(**typed))
    assert set(Measurement.objects.values_list("place", "value")) == {("left", 3.0), ("right", 1.2)}
    assert Finding.objects.get().text == "lining, right: 1.2 mm, below the limit of 1.5 mm"


def test_what_cannot_be_at_all_is_refused_by_the_limits_own_bounds(client, case):
    case.service.limits.update(unit="mm", low=1.5, possible_high=12)
    name = f"limit_{case.service.limits.get().pk}"
    assert "never more than 12" in client.post(address(case), filled(**{name: "14"})).text


@pytest.mark.parametrize(
    ("unit", "low", "typed", "sentence"),
    [
        ("mm", 1.5, "-1", "there is no less than none"),
        ("mm", 1.5, "380", "253 times the limit of 1.5"),
        ("mm", 1.5, "3.2 psi", "“psi” is the wrong unit here: it is measured in mm"),
        ("kPa", 200, "30 mm", "“mm” is the wrong unit here: it is measured in kPa"),
    ],
)
def test_a_measure_that_cannot_be_is_refused_and_an_odd_one_asked(
    client, case, unit, low, typed, sentence
):
    case.service.limits.update(unit=unit, low=low)
    name = f"limit_{case.service.limits.get().pk}"
    assert sentence in client.post(address(case), filled(**{name: typed})).text
    assert not Measurement.objects.exists()


def test_a_measure_in_another_unit_of_the_kind_is_turned_into_the_limits_own(client, case):
    name = f"limit_{case.service.limits.get().pk}"
    client.post(address(case), filled(**{name: "40 psi"}))  # 40 x 6.894757 kPa (NIST SP 811)
    assert Measurement.objects.get().value == pytest.approx(275.79, abs=0.01)


def test_an_inspection_is_not_finished_with_a_blank_measure(client, case):
    skill = Skill.objects.create(name="inspector", by_certificate=True)
    case.service.skill = skill
    case.service.save()
    Qualification.objects.create(person=case.mechanic, skill=skill)
    page = client.post(address(case), filled())
    assert "An inspection is finished with all its measures" in page.text
    assert not ServiceRecord.objects.exists()
    name = f"limit_{case.service.limits.get().pk}"
    client.post(address(case), filled(**{name: "250"}))
    assert ServiceRecord.objects.count() == 1


def test_a_measure_or_a_note_without_a_tick_is_asked_about(client, case):
    name = f"limit_{case.service.limits.get().pk}"
    page = client.post(address(case), filled(done=[], **{name: "250"}))
    assert "“Engine oil and filter” is not ticked" in page.text
    page = client.post(address(case), filled(done=[], note="clutch drags"))
    assert "Tick the work that the note is about" in page.text
    assert not Reading.objects.filter(value=125.5).exists()


def test_the_first_error_stands_at_the_top_before_any_caution(client, case):
    text = client.post(address(case), filled(reading_hours="abc")).text
    assert text.index("“abc”") < text.index("Hot oil burns.")


def test_a_measure_is_not_called_if_any(client, case):
    text = client.get(address(case)).text
    label = text.split("Oil pressure, kPa")[1].split("</label>")[0]
    assert "if any" not in label


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"done": []}, "Tick what was done"),  # with no reading either
        ({"reading_hours": "abc"}, "“abc”"),
        ({"reading_hours": ""}, "Type what it shows, or tick that a meter cannot be read"),
        ({"minutes": "0"}, "at least one minute"),
        ({"minutes": "9999"}, "A day has 1,440 minutes"),
        ({"done": ["m:1:987654321"]}, "no longer on the sheet"),
    ],
)
def test_bad_input_gets_a_sentence_and_writes_nothing(client, case, change, sentence):
    data = filled(**change)
    if change == {"done": []}:
        data["reading_hours"] = ""
    text = client.post(address(case), data).content.decode()
    assert sentence in text
    assert not ServiceRecord.objects.exists()


def test_a_bad_measurement_gets_a_sentence(client, case):
    limit = case.service.limits.get()
    text = client.post(address(case), filled(**{f"limit_{limit.pk}": "high"})).content.decode()
    assert "“high” is not a number" in text
    assert not ServiceRecord.objects.exists()


def test_work_is_put_off_with_a_reason(client, case):
    place = f"{reverse('put-off', args=['Q-1'])}?day={TODAY}"
    client.post(place, {"done": [key_of("Q-1", "oil")], "reason": ""})
    assert not PutOff.objects.exists()
    client.post(place, {"done": [key_of("Q-1", "oil")], "reason": "no filter"})
    assert PutOff.objects.get().reason == "no filter"


def test_a_machine_of_another_shop_is_not_found(client, case):
    stranger = factories.Machine(tag="Z-9")
    assert client.get(reverse("job", args=[stranger.tag])).status_code == 404


def test_the_desk_has_no_sheet_and_putting_off_wants_a_post(client, case):
    assert client.get(reverse("put-off", args=["Q-1"])).status_code == 405
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(address(case)).status_code == 403


def test_the_note_goes_with_work_that_is_put_off_and_what_was_seen_is_written(client, case):
    place = f"{reverse('put-off', args=['Q-1'])}?day={TODAY}"
    typed = {"reason": "no filter", "note": "plug is round", "finding": "tyre cut"}
    client.post(place, filled(**typed))
    assert PutOff.objects.get().reason == "no filter. plug is round"
    assert Finding.objects.get().text == "tyre cut"
    assert Reading.objects.latest("pk").value == 125.5


def test_put_off_work_leaves_the_list_and_its_minutes_with_it(client, case):
    bench = f"{reverse('bench')}?day={TODAY}"
    assert "1 h 30 min in all" in client.get(bench).text
    place = f"{reverse('put-off', args=['Q-1'])}?day={TODAY}"
    client.post(place, filled(reason="no filter"))
    text = client.get(bench).text
    assert "Nothing is planned" in text
    assert "Q-1 first" not in text
    assert "oil 10W-30" not in text


def test_a_plan_made_since_does_not_bring_put_off_work_back_onto_its_day_and_a_pin_does(
    client, case
):
    bench = f"{reverse('bench')}?day={TODAY}"
    client.post(f"{reverse('put-off', args=['Q-1'])}?day={TODAY}", filled(reason="no filter"))
    row = PutOff.objects.get()
    Plan.objects.update(made_at=row.at + timedelta(minutes=5))  # it stands there again
    assert "Nothing is planned" in client.get(bench).text
    pin = Pin.objects.create(
        machine=case.machine, work_key=row.work_key, day=TODAY, by=case.manager, at=row.at
    )
    assert "Nothing is planned" in client.get(bench).text
    Pin.objects.filter(pk=pin.pk).update(at=row.at + timedelta(minutes=6))
    assert "Q-1 first" in client.get(bench).text


def test_list_and_sheet_say_the_same_minutes_and_both_move_when_part_is_done(client, case):
    other = factories.Service(code="belt", name="Drive belt", minutes=25)
    consequences.PlannedWork(job=case.job, machine=case.machine, service=other, minutes=25)
    PlannedJob.objects.update(minutes=110)
    bench = f"{reverse('bench')}?day={TODAY}"
    for minutes in ("1 h 50 min", "50 min"):
        assert f"{minutes} in all" in client.get(bench).text
        assert f"{minutes} left" in client.get(address(case)).text
        client.post(address(case), filled())
        refresh([case.machine.pk], NOON)


def test_what_was_typed_stays_on_a_sheet_that_is_left(client, case):
    name = f"limit_{case.service.limits.get().pk}"
    leave(client, case, **{name: "250"}, note="bolt on the bench", finding="tyre cut")
    assert Progress.objects.get().note == "bolt on the bench"
    assert Finding.objects.get().text == "tyre cut"
    text = client.get(address(case)).text
    assert f'name="{name}" value="250"' in text


def leave(client, case, **more):
    place = f"{reverse('leave-work', args=['Q-1'])}?day={TODAY}"
    fields = {"form_key": "a" * 32, "done": [key_of("Q-1", "oil")], "worked": "40", "left": "50"}
    return client.post(place, fields | more, follow=True).content.decode()


def test_work_is_left_under_way_once_however_often_it_is_sent(client, case):
    for _ in range(2):
        assert "Q-1: under way." in leave(client, case, lies_open="drain plug out")
    row = Progress.objects.get()
    assert (row.work_key, row.minutes, row.minutes_left) == (key_of("Q-1", "oil"), 40, 50)
    assert row.done_by == row.by == case.mechanic
    text = client.get(address(case)).content.decode()
    assert "last worked on by Jo: 50 min left. Still open: drain plug out" in text
    assert not ServiceRecord.objects.exists()


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"done": []}, "Tick the work that is left under way."),
        ({"worked": ""}, "Say how many minutes you worked on it."),
        ({"worked": "0"}, "Write at least one minute worked"),
        ({"worked": "an hour"}, "Write the minutes worked as a whole number."),
        ({"left": "0"}, "If nothing is left, finish it instead."),
        ({"left": "99999"}, "Write at most 30,000 minutes"),
    ],
)
def test_what_cannot_be_left_under_way_is_refused_in_a_sentence(client, case, given, sentence):
    assert sentence in leave(client, case, **given)
    assert not Progress.objects.exists()


def test_minutes_left_are_shared_over_the_work_that_is_ticked(client, case):
    finding = factories.Finding(machine=case.machine, minutes=30)
    leave(client, case, done=[key_of("Q-1", "oil"), repair_key(finding.pk)], worked="90", left="45")
    assert list(Progress.objects.order_by("pk").values_list("minutes", "minutes_left")) == [
        (60, 30), (30, 15),
    ]  # fmt: skip


def test_the_work_of_a_lent_hand_is_written_in_their_name(client, case):
    lent = factories.LentHand(
        shop=case.mechanic.shop, first_day=date(2020, 1, 1), last_day=date(2100, 1, 1)
    )
    case.job.mechanic = lent.person
    case.job.save()
    text = client.get(address(case)).content.decode()
    assert f'value="{lent.person.username}" selected' in text
    client.post(address(case), filled(done_by=lent.person.username))
    record = ServiceRecord.objects.get()
    assert (record.done_by, record.entered_by) == (lent.person, case.mechanic)


def test_the_sheet_says_what_takes_two(client, case):
    case.service.second_minutes, case.service.second_for = 30, "stand at the lowering valve"
    case.service.save()
    text = client.get(address(case)).content.decode()
    assert "a second person, 30 min, to stand at the lowering valve." in text
    assert "Do not start that part alone." in text


def test_leaving_work_wants_a_post_and_a_mechanic(client, case):
    assert client.get(reverse("leave-work", args=["Q-1"])).status_code == 405
    client.force_login(factories.Person(role=Role.DESK))
    assert client.post(reverse("leave-work", args=["Q-1"])).status_code == 403


def test_a_mechanic_says_how_much_work_a_defect_is(client, case):
    more = {"finding": "engine knocks", "gravity": "defect", "repair_minutes": "900",
            "repair_second": "60", "repair_days": "on"}  # fmt: skip
    client.post(address(case), filled(**more))
    finding = Finding.objects.get()
    assert (finding.minutes, finding.second_minutes, finding.several_days) == (900, 60, True)


def test_help_longer_than_the_work_is_refused(client, case):
    more = {"finding": "engine knocks", "repair_minutes": "30", "repair_second": "60"}
    text = client.post(address(case), filled(**more)).content.decode()
    assert "Help cannot take longer than the work itself." in text
    assert not Finding.objects.exists()


def test_the_sheet_says_what_is_for_a_qualified_person_alone(client, case):
    case.service.skill = Skill.objects.create(name="inspector", by_certificate=True)
    case.service.save()
    assert (
        "the person who finishes it must hold inspector"
        in client.get(address(case)).content.decode()
    )
    measured = {f"limit_{case.service.limits.get().pk}": "250"}
    text = client.post(address(case), filled(**measured)).content.decode()
    assert "does not hold the skill inspector" in text
    assert not ServiceRecord.objects.exists()


@pytest.fixture
def grease(case, monkeypatch):
    """A service of the same machine that the oil change covers."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    small = factories.Service(code="grease", name="Grease and look-over")
    factories.cover(case.machine.makeup, case.service, small)
    factories.Interval(service=small, makeup=case.machine.makeup, every=50)
    consequences.DuePoint(machine=case.machine, service=small, state="due")
    return small


def also(service):
    return f"{key_of('Q-1', 'oil')}|{service.pk}"


def test_what_planned_work_covers_is_shown_with_it_and_not_beside_it(client, case, grease):
    text = client.get(address(case)).content.decode()
    assert "Also counts as" in text
    assert f'name="also" value="{also(grease)}" checked' in text
    assert f'value="{key_of("Q-1", "grease")}"' not in text


@pytest.mark.parametrize("ticked", [True, False])
def test_what_is_unticked_is_not_reset(client, case, grease, ticked):
    """Oil only, grease unticked: the grease stays due as it was."""
    ticks = {"also": [also(grease)]} if ticked else {}
    client.post(address(case), filled(also_shown=[also(grease)], **ticks))
    refresh([case.machine.pk], NOON)
    done = DuePoint.objects.values_list("service__code", "last_done_on")
    assert dict(done) == {"oil": TODAY, "grease": TODAY if ticked else None}
    record = ServiceRecord.objects.get()
    assert ("Not done with it: Grease and look-over." in record.note) is not ticked


def test_what_was_left_out_stays_left_out_when_the_entry_is_corrected(client, case, grease):
    client.post(address(case), filled(also_shown=[also(grease)]))
    record = ServiceRecord.objects.get()
    right = replace(work_of(record), minutes=70)
    correct_record(record, right, by=case.manager, now=NOON, why="misread")
    refresh([case.machine.pk], NOON)
    assert DuePoint.objects.get(service=grease).last_done_on is None


def test_a_refused_job_keeps_what_was_unticked(client, case, grease):
    typed = filled(also_shown=[also(grease)]) | {"reading_hours": "twelve"}
    text = client.post(address(case), typed).content.decode()
    assert f'name="also" value="{also(grease)}">' in text


def test_a_finding_that_calls_for_what_was_left_out_stays_open(client, case, grease):
    finding = factories.Finding(machine=case.machine, calls_for=grease)
    client.post(address(case), filled(also_shown=[also(grease)]))
    finding.refresh_from_db()
    assert finding.settled_at is None
