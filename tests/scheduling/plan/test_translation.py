from datetime import date

import pytest

from scheduling.plan.horizon import Horizon
from scheduling.plan.translation import Translator

HORIZON = Horizon(date(2026, 3, 2), (8.0,) * 28, {})
NAMES = {"s:Q-01:oil": "Oil change", "s:Q-01:oil-big": "Big oil change", "ada": "Ada Brook"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Day 3 with ada would cost the same.", "Thu 5 Mar with Ada Brook would cost the same."),
        ("day 0 would cost less, but yard shop is closed",
         "Mon 2 Mar would cost less, but the shop is closed"),
        ("booked 8 to 10 (77)", "booked out Tue 10 Mar to Thu 12 Mar"),
        ("booked -3 to 1 (77)", "booked out Fri 27 Feb to Tue 3 Mar"),
        ("days 2 to 4: nobody works who holds the skill any",
         "Wed 4 Mar to Fri 6 Mar: nobody works"),
        ("limit_day 2", "its limit Wed 4 Mar"),
        ("oil filter #12 arrives on day 7", "oil filter arrives on Mon 9 Mar"),
        ("one visit with s:Q-01:oil-big, s:Q-01:oil", "one visit with Big oil change, Oil change"),
        ("if the booking of days 4 to 6 began 1 day later it could be done on day 4 with ada",
         "if the booking of Fri 6 Mar to Sun 8 Mar began 1 day later it could be done on "
         "Fri 6 Mar with Ada Brook"),
        ("with 1.50 h more of ada on day 3 it could be done on day 3 with ada for 66.00 more",
         "with 1.50 h more of Ada Brook on Thu 5 Mar it could be done on Thu 5 Mar with Ada Brook "
         "for 66.00 more"),
        ("if s:Q-01:oil gave way it could be done on day 2 with ada at the same cost",
         "if Oil change gave way it could be done on Wed 4 Mar with Ada Brook at the same cost"),
        ("with oil filter #12 3 days sooner", "with oil filter 3 days sooner"),
        ("with its limit 2 days later", "with its limit 2 days later"),
        ("uses up 4.0 days of its interval early", "uses up 4.0 days of its interval early"),
        ("adage and nomad stay", "adage and nomad stay"),
        ("a holiday of 3 days", "a holiday of 3 days"),
    ],
)  # fmt: skip
def test_planners_sentence_in_words(text, said):
    assert Translator(HORIZON, "shop", NAMES).say(text) == said


def test_nothing_to_name():
    assert Translator(HORIZON, "shop", {}).say("pin on day 1") == "pin on Tue 3 Mar"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("would cost 20.00 more (overdue +14.00, visit -6.50)",
         "would cost $20.00 more (overdue +$14.00, visit -$6.50)"),
        ("ada has 8.25 of 9.00 h taken", "Ada Brook has 8.25 of 9.00 h taken"),
        ("with 1.50 h more of ada on day 3 for 12.00 more",
         "with 1.50 h more of Ada Brook on Thu 5 Mar for $12.00 more"),
        ("2.5 days early (3.10).", "2.5 days early ($3.10)."),
        ("worth 3.25.", "worth $3.25."),
    ],
)  # fmt: skip
def test_money_gets_its_sign_and_hours_do_not(text, said):
    assert Translator(HORIZON, "shop", NAMES, "$").say(text) == said
