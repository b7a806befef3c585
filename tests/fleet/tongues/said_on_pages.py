"""All that has to be said in Spanish: pages, the sentences that Python gives them, the library.

A page that is said in both languages stands in `fleet.tongues.both_languages`; here stand its
template and the modules whose sentences it shows.
"""

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.template import engines
from django.template.base import FilterExpression, Node
from django.templatetags.i18n import BlockTranslateNode, TranslateNode
from django.utils.functional import Promise

from tests.sentences import ROOT, TEMPLATE_CODE, Spoken

PAGES = (
    "400", "403", "403_csrf", "404", "base", "print", "fleet/fault", "fleet/faults",
    "fleet/finding", "fleet/first_run", "fleet/hand_code", "fleet/hand_link", "fleet/hold",
    "fleet/hold_machine", "fleet/labels", "fleet/meter_round", "fleet/no_signal", "fleet/procedure",
    "fleet/pressed_before", "fleet/reading", "fleet/record",
    "fleet/typed_before",
    "fleet/safe_to_release", "fleet/shelf", "fleet/shelf_part", "fleet/sign_in",
    "fleet/sign_in_locked", "scheduling/bench", "scheduling/bench_paper", "scheduling/broke",
    "scheduling/calendar",
    "scheduling/job", "scheduling/machine", "scheduling/machines",
    "scheduling/scan",
    "fleet/own_password", "fleet/new_password", "scheduling/forgotten", "scheduling/notices",
    "scheduling/notice", "scheduling/letters", "scheduling/letter_answer",
    "scheduling/letter_stop", "fleet/last_done", "fleet/last_done_of_class", "fleet/meter",
    "fleet/readings_to_mend", "scheduling/shop_days", "scheduling/_shop_day_job",
    "scheduling/shop_day_job", "scheduling/planned_done", "scheduling/trials", "scheduling/trial",
    "scheduling/order_list", "scheduling/searches", "scheduling/progress", "scheduling/yard_empty",
    *(
        f"scheduling/notices/{name}{kind}"
        for name in ("list", "held", "released", "lines", "changed", "digest", "password")
        for kind in ("", ".txt")
    ),
    "scheduling/notices/_foot.txt",
)  # fmt: skip
"""Templates of the pages in both languages; what they include goes with them."""
BY_TAG = (
    "components/_field", "components/_caution", "components/_machine_line", "components/_language",
    "components/chart", "components/table"
)  # fmt: skip
"""Parts that tags of ours draw."""

MODULES = (
    "fleet/actions/correct_findings.py",
    "fleet/actions/correct_readings.py",
    "fleet/actions/correct_records.py",
    "fleet/actions/count_stock.py",
    "fleet/actions/find_faults.py",
    "fleet/actions/hold_machines.py",
    "fleet/actions/lay_down_work.py",
    "fleet/actions/note_faults.py",
    "fleet/actions/note_findings.py",
    "fleet/actions/order_parts.py",
    "fleet/actions/ask_on_occasion.py",
    "fleet/actions/photograph_findings.py",
    "fleet/actions/put_readings_right.py",
    "fleet/actions/read_on_round.py",
    "fleet/actions/record_work.py",
    "fleet/actions/require_qualified.py",
    "fleet/actions/take_readings.py",
    "fleet/actions/undo_acts.py",
    "fleet/context.py",
    "fleet/charts/fan_words.py",
    "fleet/identity.py",
    "fleet/forms/answer_fields.py",
    "fleet/forms/doubts.py",
    "fleet/forms/fault_form.py",
    "fleet/forms/finding_form.py",
    "fleet/forms/first_account_form.py",
    "fleet/forms/hand_forms.py",
    "fleet/forms/hold_forms.py",
    "fleet/forms/label_form.py",
    "fleet/forms/narrowing_fields.py",
    "fleet/forms/record_form.py",
    "fleet/forms/round_forms.py",
    "fleet/forms/shelf_forms.py",
    "fleet/forms/sign_in_form.py",
    "fleet/forms/why_field.py",
    "fleet/forms/wrong_form.py",
    "fleet/labels/label_file.py",
    "fleet/labels/label_papers.py",
    "fleet/measured_values.py",
    "fleet/models/findings.py",
    "fleet/models/meters.py",
    "fleet/models/order_lines.py",
    "fleet/models/people.py",
    "fleet/models/procedures.py",
    "fleet/models/step_answers.py",
    "fleet/models/stock.py",
    "fleet/numerals.py",
    "fleet/phone_acts.py",
    "fleet/queries/occasion_services.py",
    "fleet/photo_files.py",
    "fleet/possible_values.py",
    "fleet/makeup_traits.py",
    "fleet/procedures/filled_step.py",
    "fleet/procedures/sized_tools.py",
    "fleet/quantities.py",
    "fleet/queries/entry_words.py",
    "fleet/queries/judge_readings.py",
    "fleet/queries/open_holds.py",
    "fleet/queries/order_list.py",
    "fleet/queries/stock_words.py",
    "fleet/sign_in_waits.py",
    "fleet/tongues/hand_phrases.py",
    "fleet/validation/answer_words.py",
    "fleet/validation/verdict_words.py",
    "fleet/views/fault_search_page.py",
    "fleet/views/finding_page.py",
    "fleet/views/hand_sign_in_page.py",
    "fleet/views/hold_pages.py",
    "fleet/views/label_pages.py",
    "fleet/views/reading_page.py",
    "fleet/views/record_page.py",
    "fleet/views/shelf_page.py",
    "fleet/views/undo_page.py",
    "scheduling/actions/finish_job.py",
    "scheduling/actions/note_seen.py",
    "scheduling/actions/sent_again.py",
    "scheduling/due/block_words.py",
    "scheduling/due/due_words.py",
    "scheduling/due/machine_states.py",
    "scheduling/due/sentences.py",
    "scheduling/due/worth_reading.py",
    "scheduling/forms/breakage_forms.py",
    "scheduling/forms/chance_day_form.py",
    "scheduling/forms/work_change_forms.py",
    "scheduling/forms/booking_change_forms.py",
    "scheduling/forms/day_change_forms.py",
    "scheduling/forms/carried_fields.py",
    "scheduling/forms/found_fields.py",
    "scheduling/forms/job_form.py",
    "scheduling/forms/machines_form.py",
    "scheduling/forms/measure_fields.py",
    "scheduling/forms/measures.py",
    "scheduling/forms/photos_field.py",
    "scheduling/forms/sheet_ends.py",
    "scheduling/forms/shelf_fields.py",
    "scheduling/forms/required_fields.py",
    "scheduling/forms/step_fields.py",
    "scheduling/forms/taken_fields.py",
    "scheduling/forms/unticked_fields.py",
    "scheduling/plan/plan_words.py",
    "scheduling/models/trials.py",
    "scheduling/queries/day_paper.py",
    "scheduling/queries/due_chances.py",
    "scheduling/queries/fan_figures.py",
    "scheduling/queries/job_sheet.py",
    "scheduling/queries/machine_outlook.py",
    "scheduling/queries/meter_fan.py",
    "scheduling/queries/open_entries.py",
    "scheduling/queries/seasons_ahead.py",
    "scheduling/queries/work_order.py",
    "scheduling/trial/change_words.py",
    "scheduling/queries/calendar_addresses.py",
    "scheduling/views/bench_page.py",
    "scheduling/views/broke_page.py",
    "scheduling/views/calendar_pages.py",
    "scheduling/views/job_card_file.py",
    "scheduling/views/add_work_page.py",
    "scheduling/views/job_page.py",
    "scheduling/views/keep_page.py",
    "scheduling/views/left_work_page.py",
    "scheduling/views/machine_page.py",
    "scheduling/views/order_list_page.py",
    "scheduling/views/pull_page.py",
    "scheduling/views/photo_uploads.py",
    "scheduling/views/scan_page.py",
    "scheduling/views/step_photos_page.py",
    "scheduling/wording/conflict_words.py",
    "scheduling/wording/reason_words.py",
    "fleet/actions/correct_meters.py",
    "fleet/actions/fit_meters.py",
    "fleet/actions/mend_many.py",
    "fleet/actions/put_in_last_done.py",
    "fleet/actions/set_passwords.py",
    "fleet/actions/take_rows.py",
    "fleet/forms/last_done_form.py",
    "fleet/forms/mend_form.py",
    "fleet/forms/order_filter_form.py",
    "fleet/forms/password_forms.py",
    "fleet/forms/swap_form.py",
    "fleet/views/last_done_page.py",
    "fleet/views/mend_page.py",
    "fleet/views/meter_page.py",
    "fleet/views/password_pages.py",
    "scheduling/actions/choose_letters.py",
    "scheduling/forms/letter_form.py",
    "scheduling/models/notices.py",
    "scheduling/models/letter_choices.py",
    "scheduling/notices/letter.py",
    "scheduling/notices/trial_letter.py",
    "scheduling/views/forgotten_page.py",
    "scheduling/views/letter_pages.py",
    "scheduling/queries/plan_needs.py",
    "scheduling/queries/planned_done.py",
    "scheduling/queries/planned_parts.py",
    "scheduling/queries/card_takes.py",
    "scheduling/queries/keeps_up.py",
    "scheduling/queries/unusual_days.py",
    "scheduling/queries/shown_work.py",
    "scheduling/queries/shop_days.py",
    "scheduling/queries/trial_overview.py",
    "scheduling/queries/mended_plan_ready.py",
    "scheduling/hindsight/list_entries.py",
    "scheduling/hindsight/list_outcomes.py",
    "scheduling/hindsight/schedule_months.py",
    "scheduling/forms/planned_done_form.py",
    "scheduling/forms/shop_days_forms.py",
    "scheduling/forms/trial_forms.py",
    "scheduling/trial/rights.py",
    "scheduling/trial/trial_result.py",
    "scheduling/trial/work_out.py",
    "scheduling/trial/differences.py",
    "scheduling/trial/mend_plan.py",
    "scheduling/wording/move_words.py",
    "scheduling/wording/week_words.py",
    "scheduling/wording/stage_words.py",
    "scheduling/wording/cost_sentences.py",
    "scheduling/wording/clash_words.py",
    "scheduling/wording/clauses.py",
    "scheduling/plan/breach_words.py",
    "scheduling/plan/unkept.py",
    "scheduling/plan/search_stages.py",
    "scheduling/plan/report.py",
    "scheduling/plan/broken_work.py",
    "scheduling/plan/strayed_work.py",
    "scheduling/actions/replan.py",
    "scheduling/actions/try_changes.py",
    "scheduling/models/plans.py",
    "scheduling/views/planned_done_page.py",
    "scheduling/views/trial_pages.py",
    "scheduling/views/progress_page.py",
    "scheduling/views/shop_days_page.py",
    "fleet/charts/schedule_chart.py",
    "fleet/charts/load_bars.py",
    "scheduling/views/notices_page.py",
    "scheduling/views/occasion_page.py",
    "scheduling/actions/republish.py",
    "scheduling/notices/password_letter.py",
    "scheduling/notices/chosen.py",
    "scheduling/notices/news.py",
    "scheduling/notices/night_news.py",
    "scheduling/notices/hold_letters.py",
    "scheduling/notices/day_list.py",
    "fleet/intake/resolving.py",
    "fleet/intake/reading_rows.py",
    "fleet/intake/reading_dates.py",
    "fleet/actions/mend_readings.py",
    "fleet/asked_shop.py",
)
"""Modules whose sentences these pages show."""

NAMES = {"Evener", "UTC", "CSV", "XLSX", "PDF", "English", "Español"}
"""Words that are the same in every language."""

HEAD = {"light dark", "width=device-width", "width=device-width, initial-scale=1"}
"""What the head of a page tells the browser."""

BLOCK = re.compile(r"{%-?\s*blocktrans(?:late)?\b.*?{%\s*endblocktrans(?:late)?\s*%}", re.S)
CALL = re.compile(r"""{%\s*translate\s+(?:"[^"]*"|'[^']*')[^%]*%}|_\("[^"]*"\)""")
BARE_WORD = re.compile(
    r"""\|(?:default|default_if_none|yesno|pluralize|add|join):["'][^"']*[A-Za-z]{2}[^"']*["']"""
)
INCLUDED = re.compile(r"""{%\s*(?:include|extends)\s+["']([\w/]+)\.html["']""")


def templates() -> list[Path]:
    """Return the templates of the pages in both languages, and all that they include."""
    return [_file(name) for name in template_names()]


def template_names() -> list[str]:
    """Return their names."""
    left, seen = [*PAGES, *BY_TAG], dict[str, None]()
    while left:
        name = left.pop()
        if name in seen:
            continue
        seen[name] = None
        left += INCLUDED.findall(_file(name).read_text("utf-8"))
    return sorted(seen)


def _file(name: str) -> Path:
    return ROOT / "templates" / (name if name.endswith(".txt") else f"{name}.html")


def unmarked(path: Path) -> list[str]:
    """Return what a template says in English alone, with its line."""
    return unmarked_in(path.read_text("utf-8"))


def unmarked_in(text: str) -> list[str]:
    """Return the words of a template that no translation tag stands around."""

    def blank(code: re.Match[str]) -> str:
        return "…" + "\n" * code[0].count("\n")

    found = [f"in a filter: {bare}" for bare in BARE_WORD.findall(text)]
    rest = CALL.sub(blank, BLOCK.sub(blank, text))
    spoken = Spoken()
    spoken.feed(TEMPLATE_CODE.sub(blank, rest))
    for line, said in spoken.found:
        words = [w for w in re.findall(r"[A-Za-zÀ-ÿ]{2,}", said) if w not in NAMES]
        if words and said[:1] != "{" and said not in HEAD:
            found.append(f"line {line}: {' '.join(said.split())}")
    for code in TEMPLATE_CODE.finditer(rest):
        quoted = [] if re.match(r"{%\s*(el)?if", code[0]) else re.findall(r'"([^"]*)"', code[0])
        found += [q for q in quoted if " " in q and re.search("[a-z]{2}", q)]
    return found


def of_template(path: Path) -> Iterator[tuple[str, str]]:
    """Yield the sentences that a template marks: English, and English for many or ""."""
    template: Any = engines["django"].from_string(path.read_text("utf-8"))
    yield from _of_nodes(template.template.nodelist)


def _of_nodes(nodes: Any) -> Iterator[tuple[str, str]]:
    for node in nodes:
        if isinstance(node, TranslateNode):
            yield str(node.filter_expression.var.literal), ""
        elif isinstance(node, BlockTranslateNode):
            many = node.render_token_list(node.plural)[0] if node.plural else ""
            yield node.render_token_list(node.singular)[0], many
        yield from _of_arguments(node)
        for name in getattr(node, "child_nodelists", ()):
            yield from _of_nodes(getattr(node, name, None) or ())
        for _, branch in getattr(node, "conditions_nodelists", ()):
            yield from _of_nodes(branch)


def _of_arguments(node: Node) -> Iterator[tuple[str, str]]:
    """Yield what stands as _("…") among the arguments of a tag or a filter."""
    left: list[Any] = list(vars(node).values())
    while left:
        one = left.pop()
        if isinstance(one, Promise):  # a constant, looked up by now
            yield str(one), ""
        elif isinstance(one, FilterExpression):
            left += [one.var, *(a for _, given in one.filters for _, a in given)]
        elif isinstance(one, list | tuple):
            left += [each for each in one if not isinstance(each, Node)]
        elif isinstance(one, dict):
            left += one.values()


LETTERS = re.compile(r"[A-Za-z]{2,}|\b[aAI]\b")
SHORT_CALLS = {"_said"}
"""Functions whose words are said however short they are."""
LABELLED = {"label", "help_text", "placeholder", "title", "empty_label", "verbose_name"}
CODE = re.compile(r"[-\w.:/|*#%<>=\[\]{}()]*|[A-Z]{2,}[\w ]*|.*[\[\]=\\].*")
"""Strings of code that nobody is shown: names, patterns, headers."""


def of_module(path: Path) -> Iterator[str]:
    """Yield the sentences of a module, what is filled in as {0}, {1} and so on."""
    tree = ast.parse(path.read_text("utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any("Choices" in ast.unparse(b) for b in node.bases):
            yield from _labels(node)
    if path.parent.name != "models":  # their help texts stand in Set-up alone
        yield from _of_strings(tree, short=path.name == "hand_phrases.py")


def _of_strings(tree: ast.Module, *, short: bool) -> Iterator[str]:
    silent = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in node.values}
        if isinstance(node, ast.keyword) and node.arg in LABELLED:
            yield from _if_said(node.value, short=True)
        if isinstance(node, ast.Call) and ast.unparse(node.func) in SHORT_CALLS:
            yield from _if_said(node.args[0], short=True)
    for node in ast.walk(tree):
        if id(node) not in silent:
            yield from _if_said(node, short=short)


def _labels(choices: ast.ClassDef) -> Iterator[str]:
    for line in choices.body:
        if isinstance(line, ast.Assign) and isinstance(line.value, ast.Tuple):
            yield from _if_said(line.value.elts[-1], short=True)


def _if_said(node: ast.AST, *, short: bool = False) -> Iterator[str]:
    said = _with_places(node)
    if said is None or not LETTERS.search(re.sub(r"\{\w+\}", "", said)):
        return
    if short or (" " in said.strip() and not CODE.fullmatch(said)):
        yield said


def _with_places(node: ast.AST) -> str | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if not isinstance(node, ast.JoinedStr):
        return None
    said, places = "", 0
    for part in node.values:
        if isinstance(part, ast.Constant):
            said += str(part.value)
        else:
            said += f"{{{places}}}"
            places += 1
    return said


def of_pages() -> dict[tuple[str, str], list[str]]:
    """Return (English, for many) -> the files where it stands."""
    found: dict[tuple[str, str], list[str]] = {}
    for path in templates():
        for english, many in of_template(path):
            found.setdefault((english, many), []).append(_place(path))
    for module in MODULES:
        for said in of_module(ROOT / module):
            found.setdefault((said, ""), []).append(module)
    return found


def _place(path: Path) -> str:
    return str(path.relative_to(ROOT))


SPOKEN_FIELDS = {
    "text", "words", "name", "title", "tool", "measures", "figure", "turning_order", "places",
    "place", "shows",
}  # fmt: skip
"""Fields of the library that people read."""


def of_library() -> dict[tuple[str, str], list[str]]:
    """Return the same of the library: procedures, faults, cautions, services of the demo."""
    found: dict[tuple[str, str], list[str]] = {}
    folder = ROOT / "fixtures"
    demo = folder / "procedures.json"
    rounds = folder / "walk_rounds.json"
    points = json.loads(rounds.read_text("utf-8"))["points"]
    told = [(rounds, point["words"]) for point in points]
    told += [(demo, said) for said in _of_demo(json.loads(demo.read_text("utf-8")))]
    told += [(path, said) for path, said in _of_demo_fleet(folder)]
    for path in sorted([*(folder / "procedures").glob("*.json"), folder / "cautions.json"]):
        told += [(path, said) for said in _spoken_fields(json.loads(path.read_text("utf-8")), "")]
    for path, said in told:
        if LETTERS.search(said):
            found.setdefault((said, ""), []).append(_place(path))
    return found


def _each_tool(said: str) -> Iterator[str]:
    """Yield tools with all that is named beside each other, and each alone, as a pull list does."""
    yield said
    yield from (one for one in said.split(", ") if one != said)


def _of_demo_fleet(folder: Path) -> Iterator[tuple[Path, str]]:
    """Yield what the demo's people wrote down themselves, as far as a mechanic reads it."""
    fleet, manuals = folder / "demo_fleet.json", folder / "demo_manuals.json"
    told = json.loads(fleet.read_text("utf-8"))
    yield from ((fleet, part["name"]) for part in told["parts"])
    yield from ((fleet, one["name"]) for one in told["classes"])
    yield from ((fleet, fluid["grade"]) for one in told["classes"] for make_up in one["make_ups"]
                for fluid in make_up["fluids"] if " " in fluid["grade"])  # fmt: skip
    yield from ((fleet, text) for text, _ in told["findings"])
    yield from ((fleet, reason) for reason in told["put_off_reasons"])
    yield from ((fleet, one["reason"]) for one in told["seasons"])
    for story in told["stories"]:
        yield from ((fleet, story[key]) for key in ("text", "reason", "note") if key in story)
        yield from ((fleet, text) for _, text in story.get("calls", ()))
        if "begun" in story:
            yield fleet, story["begun"]["note"]
    for one in json.loads(manuals.read_text("utf-8"))["make_ups"].values():
        for name, said in one.get("figures", {}).items():
            yield from ((manuals, each) for each in (name, said) if isinstance(each, str))
        yield from ((manuals, name) for name in one.get("limits", {}))
    yield manuals, "invented"


def _spoken_fields(value: Any, name: str) -> Iterator[str]:
    if isinstance(value, dict):
        for key, each in value.items():
            yield from _spoken_fields(each, key)
    elif isinstance(value, list) and name != "words":  # those that tell a class's name
        for each in value:
            yield from _spoken_fields(each, name)
    elif isinstance(value, str) and name in SPOKEN_FIELDS:
        if name == "tool":
            yield from _each_tool(value)
        else:
            yield from value.split(", ") if name == "places" else [value]


def _of_demo(told: dict[str, Any]) -> Iterator[str]:
    """Yield what is read of the services of the demo: names, steps with tools, limits, skills."""
    yield from told["skills"]
    yield from (one["name"] for one in told["set_ups"])
    for service in told["services"]:
        yield service["name"]
        yield service.get("second_for", "")
        yield from service.get("needs", ())
        if "kind" not in service:  # else they are steps of the library, by their keys
            for text, tools, *_ in service.get("steps", ()):
                yield text
                yield from _each_tool(tools)
        for limit in service.get("limits", ()):
            yield from (limit["name"], limit["unit"])
