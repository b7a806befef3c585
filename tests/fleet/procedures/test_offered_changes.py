"""What the library says anew, told apart from what the shop changed itself."""

from fleet.procedures.offered_changes import offered_changes


def body(*steps, minutes=60):
    return {
        "minutes": minutes, "cautions": [], "needs": {"oil": 1.0}, "limits": [],
        "steps": [{"key": key, "kind": "do", "text": text} for key, text in steps],
    }  # fmt: skip


TAKEN = body(("drain", "Drain"), ("fill", "Fill"), ("look", "Look"))


def test_a_step_said_anew_a_new_one_and_one_taken_out_are_offered():
    new = body(("drain", "Drain warm"), ("fill", "Fill"), ("wipe", "Wipe"))
    found = {one.key: (one.what, one.own) for one in offered_changes(TAKEN, TAKEN, new)}
    assert found == {
        "step:drain": ("changed", ""), "step:wipe": ("new", ""), "step:look": ("taken out", "")
    }  # fmt: skip


def test_what_the_shop_changed_and_the_library_did_not_is_no_offer():
    own = body(("drain", "Drain by my way"), ("fill", "Fill"), ("look", "Look"), ("own", "Mine"))
    assert offered_changes(TAKEN, own, TAKEN) == []


def test_what_both_changed_shows_the_words_of_the_shop():
    own = body(("drain", "Drain by my way"), ("fill", "Fill"), ("look", "Look"))
    new = body(("drain", "Drain warm"), ("fill", "Fill"), ("look", "Look"))
    (one,) = offered_changes(TAKEN, own, new)
    assert one.own.startswith("Drain by my way")


def test_what_the_shop_has_already_is_not_offered():
    new = body(("drain", "Drain warm"), ("fill", "Fill"), ("look", "Look"))
    assert offered_changes(TAKEN, new, new) == []


def test_a_step_that_the_shop_took_out_is_offered_when_it_is_said_anew():
    own = body(("fill", "Fill"), ("look", "Look"))
    new = body(("drain", "Drain warm"), ("fill", "Fill"), ("look", "Look"))
    (one,) = offered_changes(TAKEN, own, new)
    assert (one.key, one.what) == ("step:drain", "changed")


def test_the_minutes_are_offered_too():
    (one,) = offered_changes(TAKEN, TAKEN, {**TAKEN, "minutes": 75})
    assert (one.title, one.old, one.new) == ("Minutes", "60", "75")


def test_numbers_as_the_database_hands_them_out_are_no_change():
    assert offered_changes(TAKEN, {**TAKEN, "needs": {"oil": 1}}, TAKEN) == []
