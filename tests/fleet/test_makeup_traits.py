"""On which build a step is done."""

import pytest

from fleet.makeup_traits import TRAITS, all_codes, codes_in, fits, in_a_sentence, open_question

DRUM = {"front-brakes": "drum", "oil-cooler": "no"}


@pytest.mark.parametrize(
    ("only_on", "answer"),
    [
        ("", True),
        ("front-brakes:drum", True),
        ("front-brakes:disc", False),
        ("front-brakes:disc front-brakes:drum", True),  # one trait: either will do
        ("front-brakes:drum oil-cooler:yes", False),  # two traits: both have to be so
        ("fuel:carburettor", None),  # the make-up does not say
        ("fuel:carburettor front-brakes:disc", False),  # one that is not so decides
    ],
)
def test_a_step_is_done_on_the_build_that_it_names(only_on, answer):
    assert fits(only_on, DRUM) is answer


def test_what_the_make_up_does_not_say_is_said_with_the_step():
    assert open_question("fuel:carburettor front-brakes:drum", DRUM) == "a carburettor"
    assert open_question("rear-brakes:drum rear-brakes:disc", {}) == (
        "drum brakes at the rear or disc brakes at the rear"
    )


@pytest.mark.parametrize("bad", ["front-brakes:cork", "wings:yes", "drum"])
def test_a_build_that_is_none_is_refused(bad):
    with pytest.raises(ValueError, match="not a build"):
        codes_in(bad)


def test_every_code_of_a_form_can_be_read_back():
    codes = [code for code, _ in all_codes()]
    assert len(codes) == len(set(codes)) == sum(len(one.builds) for one in TRAITS.values())
    assert all(codes_in(code) for code in codes)


def test_a_build_reads_as_words():
    assert in_a_sentence(DRUM) == "drum brakes in front, no oil cooler"
