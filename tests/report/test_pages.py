"""week.html and sheets.html, read with the standard library's parser."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from genplan.case import Case, MaterialSet, PassMark
from genplan.case.people import AbsenceKind, Reason
from genplan.coverage.curve import Point
from genplan.plan import Beside, Note, NoteKind, ObservedShare, Plan, Probe, ProbeKind, TargetCoverage
from genplan.report.adult_page import adult_page
from genplan.report.calendars import calendar_files
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.sheets import BOXES_IN_A_ROW, TRIAL_ROWS, sheet_of, sheets_page
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import faults, read
from tests.fixtures.places import ROOT

HOSTILE = "<script>alert('x')</script> \"quoted\" & </td></style> {{ 7 * 7 }} {% endif %}"
NASTY = (HOSTILE, "שלום ירון", "العربية \u202e", "x" * 300, "e\u0301 漢字 👩\u200d🏫", "a\nb\x00c\x1b[0m")


def ordinary() -> tuple[Case, Plan]:
    case = b.a_case()
    return case, b.a_plan(case)


def extra() -> tuple[Case, Plan]:
    case = b.a_case(targets=[b.with_wording(b.a_target())])
    return case, b.a_plan(case)


def closed_for(why: str) -> Note:
    return Note(kind=NoteKind.CLOSED, location="home", days=(0,), why=Reason(AbsenceKind.CLOSED, why))


def named(name: str) -> tuple[Case, Plan]:
    """Everything that a user can name has this name."""
    target = b.with_wording(b.a_target(name=name, instruction=name, correct_when=name))
    case = b.a_case([b.a_learner(name=name, alias=name)], [target], [MaterialSet(id="fleece", name=name)])
    plan = b.a_plan(case, notes=(closed_for(name),))
    left_out = tuple(replace(i, values=(("wording", name),)) for i in plan.left_out)
    return case, b.a_plan(case, notes=(closed_for(name),), left_out=left_out)


def everything() -> dict[str, tuple[Case, Plan]]:
    cases = {"ordinary": ordinary(), "extra": extra(), "twelve": b.a_big_plan(12)}
    cases["empty"] = b.a_case(), b.an_empty_plan()
    return cases | {f"named {n}": named(name) for n, name in enumerate(NASTY)}


ALL = everything()


def test_second_observers_have_a_list_of_their_own() -> None:
    case = b.a_case()
    said = "a second observer for 1 of the 4 probes of the last 4 weeks and this one; 0 % asks for 1."
    share = ObservedShare(learner="wren", probes=4, observed=1, new=1, wanted=1)
    begun = Note(kind=NoteKind.WEEK_BEGUN)
    text = week_page(case, b.a_plan(case, notes=(begun,), observed=(share,)))
    assert text.count(said) == 1
    assert text.index("The week has begun") < text.index("<h3>Second observers</h3>") < text.index(said)
    assert "Second observers" not in week_page(case, b.a_plan(case))


def first_adult(case: Case, plan: Plan) -> str:
    return adult_page(case, plan, next(iter(case.adults)))


@pytest.mark.parametrize("draw", [week_page, sheets_page, first_adult])
@pytest.mark.parametrize("which", list(ALL))
def test_no_page_has_a_fault(draw: object, which: str) -> None:
    page = draw(*ALL[which])  # type: ignore[operator]
    assert faults(page) == []
    root = read(page)
    assert root.all("html")[0].attributes["lang"] == "en-GB"
    of_page = [t for t in root.all("title") if t.parent and t.parent.tag == "head"]
    assert len(root.all("main")) == len(of_page) == len(root.all("style")) == 1
    assert "http:" not in page
    assert "https:" not in page
    assert "\x00" not in page
    assert "\x1b" not in page


@pytest.mark.parametrize("draw", [week_page, sheets_page])
def test_the_policy_lets_only_the_own_stylesheet_in(draw: object) -> None:
    page = draw(*ordinary())  # type: ignore[operator]
    metas = [m.attributes for m in read(page).all("meta")]
    policy = next(m["content"] for m in metas if m.get("http-equiv") == "Content-Security-Policy")
    style = re.search(r"<style>(.*)</style>", page, re.DOTALL)
    assert style
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


@pytest.mark.parametrize("draw", [week_page, sheets_page])
def test_a_hostile_name_is_shown_as_text(draw: object) -> None:
    page = draw(*named(HOSTILE))  # type: ignore[operator]
    root = read(page)
    assert root.all("script") == []
    assert HOSTILE in " ".join(e.words for e in root.all("bdi"))
    assert "49" not in [e.words for e in root.all("bdi")]


def test_templates_never_switch_escaping_off() -> None:
    import genplan.report.render as render

    folder = Path(render.__file__).parent / "templates"
    for template in sorted(p for p in folder.iterdir() if p.is_file()):
        text = template.read_text("utf-8")
        assert not re.search(r"\|\s*safe|autoescape|Markup", text), template.name
    assert "autoescape=True" in Path(render.__file__).read_text("utf-8")


def test_same_bytes_twice_and_under_another_hash_seed(nightly: bool) -> None:
    code = (
        "from tests.fixtures import builders as b; import hashlib;"
        "from genplan.report.page import week_page; from genplan.report.sheets import sheets_page;"
        "c, p = b.a_big_plan(3); "
        "print(hashlib.sha256((week_page(c, p) + sheets_page(c, p)).encode()).hexdigest())"
    )
    hashes = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("12" if nightly else "1")
    ]
    case, plan = b.a_big_plan(3)
    own = hashlib.sha256((week_page(case, plan) + sheets_page(case, plan)).encode()).hexdigest()
    assert {h.strip() for h in hashes} == {own}


def test_statuses_are_told_by_word_and_sign() -> None:
    case, plan = ordinary()
    root = read(week_page(case, plan))
    cells = [td for table in root.with_class("matrix") for td in table.all("td")]
    words = ("planned", "met", "not met", "taught", "untested", "not possible")
    for td in cells:
        sign, *_ = td.with_class("sign")
        assert sign.attributes["aria-hidden"] == "true"
        assert td.words.removeprefix(sign.words).strip().startswith(words)
    planned = [td.words for td in cells if "planned" in td.words]
    assert len(planned) == 3
    assert any("Tue 15:30" in text for text in planned)
    legend = root.with_class("legend")[0].words
    assert all(word in legend for word in words)


def test_the_matrix_scrolls_inside_its_own_region() -> None:
    for table in read(week_page(*extra())).with_class("matrix"):
        assert table.parent is not None
        assert table.parent.attributes["tabindex"] == "0"
        assert table.parent.attributes["role"] == "region"
        assert table.all("caption")


def test_each_row_of_the_matrix_spans_all_columns() -> None:
    for which in ("ordinary", "extra"):
        for table in read(week_page(*ALL[which])).with_class("matrix"):
            columns = len(table.all("col"))
            for row in (row for body in table.all("tbody") for row in body.all("tr")):
                assert sum(int(c.attributes.get("colspan", 1)) for c in row.all("th", "td")) == columns


def test_the_week_day_by_day() -> None:
    root = read(week_page(*ordinary()))
    assert [h.words for h in root.all("h4")][:2] == ["Tuesday 1 December", "Saturday 5 December"]
    assert [h.words for h in root.all("h5")] == [
        "15:30 to 15:45 with Grandad, The park",
        "09:45 to 09:55 with Mum, Home",
    ]
    probes = [[li.words.split(" The ")[0] for li in a.all("li")] for a in root.with_class("sitting")]
    assert [len(p) for p in probes] == [2, 1]
    assert all(p.startswith("Zips up a jacket") for sitting in probes for p in sitting)
    text = root.words
    for said in (
        "This week adds 3 pairs.",
        "Home is taken in those hours.",
        "at most 8 % short",
        "prescribes no treatment",
    ):
        assert said in text
    assert "it goes round no neck" in text


def test_twelve_learners_have_a_section_each_and_an_overview() -> None:
    root = read(week_page(*b.a_big_plan(12)))
    heads = [h.words for h in root.all("h2")]
    assert heads[:3] == ["All learners", "C0.", "C1."]
    overview = root.all("table")[0]
    assert len(overview.all("tbody")[0].all("tr")) == 12
    assert overview.all("tr")[1].words.split() == ["C0.", "2", "3", "3", "12", "5"]


def test_the_sittings_of_all_learners_stand_in_order_of_time() -> None:
    root = read(week_page(*b.a_big_plan(3)))
    table = root.with_class("seats")[0]
    days = [body.all("th")[0].words for body in table.all("tbody")]
    assert days == ["Tuesday 1 December", "Saturday 5 December"]
    rows = [r.words for body in table.all("tbody") for r in body.all("tr")[1:]]
    assert rows[:2] == [
        "15:30 to 15:45 C0. Grandad The park 2",
        "15:30 to 15:45 C1. Grandad The park 2",
    ]
    assert len(rows) == 6
    links = [a.attributes["href"] for a in table.all("a")]
    assert links[:3] == ["#learner-1-days", "#learner-2-days", "#learner-3-days"]
    assert not read(week_page(*ordinary())).with_class("seats")


def test_matrices_are_folded_and_of_many_learners_not_on_paper_either() -> None:
    one, many = (read(week_page(*found)).with_class("target") for found in (ordinary(), b.a_big_plan(2)))
    # of one learner they are folded on the screen too, and whole on paper
    assert [d.attributes["class"] for d in one] == ["target fold"]
    assert [d.attributes["class"] for d in many] == ["target"] * 2
    assert not any("open" in d.attributes for d in (*one, *many))
    assert ".target:not(.fold, [open])" in read(week_page(*ordinary())).all("style")[0].text


@pytest.mark.parametrize(
    ("kind", "fewest", "proven", "told"),
    [
        # one new probe this week: five further ones take five weeks
        (ProbeKind.NEW, 5, 4, ["8 of 24", "3", "2", "3", "12", "4 to 5", "5"]),
        (ProbeKind.NEW, 0, 0, ["8 of 24", "3", "2", "3", "12", "0", "0"]),
        # a maintenance probe shows nothing new, so there is no pace to go by
        (ProbeKind.MAINTENANCE, 5, 5, ["8 of 24", "3", "2", "3", "12", "5", "none planned"]),
    ],
)
def test_the_row_of_a_target(kind: ProbeKind, fewest: int, proven: int, told: list[str]) -> None:
    case = b.a_case()
    probe = Probe(
        target="zips-jacket", combination=("grandad", "park", "fleece"), kind=kind, trials=5, new_tuples=3
    )
    cover = TargetCoverage(
        learner="wren",
        target="zips-jacket",
        possible=24,
        shown_before=9,
        tested_before=8,
        met_before=3,
        new=3,
        open=12,
        fewest_further=fewest,
        fewest_proven=proven,
        met_untaught_before=2,
    )
    plan = b.a_plan(case, sittings=(b.a_sitting(probes=(probe,)),), coverage=(cover,))
    row = read(week_page(case, plan)).with_class("adds")[0].all("tbody")[0].all("tr")[0]
    assert row.all("th")[0].words == "Zips up a jacket in pairs"
    assert [td.words for td in row.all("td")] == told


def test_two_new_probes_a_week_halve_the_weeks() -> None:
    cover = TargetCoverage(
        learner="wren",
        target="zips-jacket",
        possible=24,
        shown_before=9,
        tested_before=8,
        met_before=3,
        new=3,
        open=12,
        fewest_further=5,
        fewest_proven=5,
    )
    probe = Probe(
        target="zips-jacket",
        combination=("grandad", "park", "fleece"),
        kind=ProbeKind.NEW,
        trials=5,
        new_tuples=3,
    )
    plan = b.an_empty_plan(sittings=(b.a_sitting(probes=(probe, probe)),), coverage=(cover,))
    assert plan.weeks_at_this_pace(cover) == 3  # 2 + 2 + 1


def test_how_coverage_grew_and_where_the_plan_leads() -> None:
    case, plan = ordinary()
    points = (
        Point(day=date(2026, 10, 1), possible=24, shown=1, tested=0, met=0),
        Point(day=date(2026, 11, 29), possible=24, shown=9, tested=8, met=3, met_untaught=2),
    )
    page = week_page(case, plan, curves={"zips-jacket": points})
    assert faults(page) == []
    figure = read(page).with_class("curve")[0]
    assert (
        "By 29 Nov 2026 8 of 24 pairs tried, 3 met, 2 met without teaching. By 1 Oct 2026 none was tried."
        in figure.words
    )
    assert "This plan leads to at least 11 pairs tried." in figure.words
    # 66 days across 282: the plan ends at the right edge, 11 of 24 are 53.2 of 116 up from 126
    (ahead,) = figure.with_class("ahead-curve")
    assert ahead.attributes["d"].endswith("L312.0 72.8")
    assert [r.words for r in figure.all("tbody")[0].all("tr")] == ["1 Oct 2026 0 0 0", "29 Nov 2026 8 3 2"]
    assert not read(week_page(case, plan)).with_class("curve")


def test_a_caution_of_several_places_is_told_once() -> None:
    case = b.a_case([b.a_learner(allergens=frozenset({"egg"}))])
    plan = b.a_plan(case)
    assert [s.location for s in plan.sittings] == ["park", "home"]
    told = [li.words for li in read(week_page(case, plan)).all("li")]
    egg = [t for t in told if "egg" in t]
    assert egg == [
        "W. must not meet egg: check what is brought, food, creams and materials at The park; Home."
    ]
    assert len([t for t in told if "goes round no neck" in t]) == 1
    one = read(week_page(case, b.a_plan(case, sittings=plan.sittings[:1])))
    assert "materials at The park." in one.words


def test_who_sits_beside_is_told_on_both_pages() -> None:
    case = b.a_case()
    sitting = replace(b.the_sittings()[0], beside="mum", beside_as=Beside.OBSERVER)
    plan = b.a_plan(case, sittings=(sitting,))
    assert "Mum observes and counts too." in read(week_page(case, plan)).words
    page = read(adult_page(case, plan, "mum"))
    assert [h.words for h in page.all("h5")] == ["15:30 to 15:45 with W. and Grandad, The park"]
    assert "Nothing is planned for you" in read(adult_page(case, plan, "teacher")).words


def test_an_empty_week_says_why() -> None:
    for draw in (week_page, sheets_page):
        text = read(draw(b.a_case(), b.an_empty_plan())).words
        assert "Nothing is owed this week" in text
        assert "What to do:" in text


def test_of_many_learners_each_is_folded_and_its_link_leads_into_it() -> None:
    for number, folded in ((3, 0), (4, 4)):
        root = read(week_page(*b.a_big_plan(number)))
        learners = root.with_class("learner")
        assert len(root.with_class("folded")) == folded
        (nav,) = [n for n in root.all("nav") if n.attributes.get("aria-label") == "On this page"]
        first = nav.all("a")[0].attributes["href"].removeprefix("#")
        inside = learners[0].with_class("folded")[0] if folded else learners[0]
        assert any(h.attributes.get("id") == first for h in inside.all("h3"))
    glance = read(week_page(*b.a_big_plan(4))).with_class("glanced")[0]
    rows = [r.words for r in glance.all("tbody")[0].all("tr")]
    assert rows[0].startswith("C0. Tuesday: 15:30 Grandad")


def test_a_learner_without_a_sitting_in_a_full_week_is_told_why() -> None:
    case = b.a_case([b.a_learner(), b.a_learner("robin", "Robin", "R.")])
    text = read(week_page(case, b.a_plan(case))).words
    assert "No target is marked mastered" in text


@pytest.mark.parametrize("draw", [week_page, sheets_page])
def test_names_only_where_asked(draw: object) -> None:
    case, plan = ordinary()
    assert "Wren" not in draw(case, plan)  # type: ignore[operator]
    page = draw(case, plan, names=True)  # type: ignore[operator]
    assert "Wren Example" in page
    assert not any("W." in h.words for h in read(page).all("h2", "h3", "h5", "dd"))


def test_a_sheet_for_each_sitting_with_a_box_for_each_trial() -> None:
    root = read(sheets_page(*ordinary()))
    sheets = root.with_class("sheet")
    assert [s.all("h3")[0].words for s in sheets] == [
        "Tuesday 1 December 2026, 15:30 to 15:45",
        "Saturday 5 December 2026, 09:45 to 09:55",
    ]
    tables = sheets[0].with_class("boxes")
    assert len(tables) == 2
    rows = tables[0].all("tbody")[0].all("tr")
    assert [r.all("th")[0].words for r in rows] == [*TRIAL_ROWS]
    assert [len(r.all("td")) for r in rows] == [5, 5, 5]
    text = sheets[0].words
    for said in (
        "W. with Grandad",
        "The park",
        "The fleece; Three winter coats",
        "“Zip it up”",
        "Starts and closes the zip",
        "at least 4 of 5 trials correct without help",
        "Not run because",
        "Probe 2 of 2",
        "When to stop",
    ):
        assert said in text
    for person in root.with_class("person"):
        assert person.words.count("licensed practitioner in charge") == 1


def test_the_varied_wording_is_what_is_said() -> None:
    case = b.a_case(targets=[b.with_wording(b.a_target())])
    probe = Probe(
        target="zips-jacket",
        combination=("grandad", "park", "fleece", "Do up your coat"),
        kind=ProbeKind.NEW,
        trials=5,
        new_tuples=2,
    )
    plan = b.an_empty_plan(sittings=(b.a_sitting(probes=(probe,)),))
    text = read(sheets_page(case, plan)).words
    assert "Say “Do up your coat”" in text
    assert "Zip it up" not in text


@pytest.mark.parametrize("trials", [1, BOXES_IN_A_ROW, BOXES_IN_A_ROW + 1, 30])
def test_many_trials_go_on_below(trials: int) -> None:
    case = b.a_case()
    probe = Probe(
        target="zips-jacket",
        combination=("grandad", "park", "fleece"),
        kind=ProbeKind.NEW,
        trials=trials,
        new_tuples=2,
    )
    plan = b.an_empty_plan(sittings=(b.a_sitting(probes=(probe,)),))
    tables = read(sheets_page(case, plan)).with_class("sheet")[0].with_class("boxes")
    numbers = [int(th.words) for t in tables for th in t.all("thead")[0].all("th")[1:]]
    assert numbers == list(range(1, trials + 1))
    assert max(len(t.all("thead")[0].all("th")) for t in tables) <= BOXES_IN_A_ROW + 1


def test_print_puts_each_person_on_a_new_page_and_cuts_no_sheet() -> None:
    style = read(sheets_page(*ordinary())).all("style")[0].text
    assert ".person + .person, .person + .sheet { break-before: page; }" in style
    assert ".sheet { break-inside: avoid; }" in style
    assert "prefers-color-scheme: dark" in style


@pytest.mark.parametrize(
    ("mark", "trials", "needed"),
    [
        (PassMark(4, 5), 10, 8),
        # four fifths of 6 are 4.8, so 4 are too few
        (PassMark(4, 5), 6, 5),
        (PassMark(2, 3), 4, 3),
        (PassMark(9, 10), 5, 5),
    ],
)
def test_how_many_are_needed_goes_by_the_trials_of_the_probe(
    mark: PassMark, trials: int, needed: int
) -> None:
    """Whoever reads the mark's own number off a sheet would call a probe met too early, or never."""
    case = b.a_case(targets=[b.a_target(pass_mark=mark)])
    probe = Probe(
        target="zips-jacket",
        combination=("grandad", "park", "coats"),
        kind=ProbeKind.NEW,
        trials=trials,
        new_tuples=1,
    )
    plan = replace(b.an_empty_plan(), sittings=(b.a_sitting(probes=[probe]),))
    assert f"at least {needed} of {trials} trials correct" in sheets_page(case, plan)
    for page in (week_page(case, plan), adult_page(case, plan, "grandad")):
        assert f"{trials} trials, met with {needed} correct" in page
    event = calendar_files(case, plan)["calendars/adult-grandad.ics"].decode().replace("\r\n ", "")
    told = f"all {needed}" if needed == trials else f"{needed} or more"
    assert f"met with {told}" in event.replace("\\", "")


def test_what_is_not_brought_since_a_child_is_kept_from_it_is_said_with_its_check() -> None:
    case, (tuesday, _saturday) = b.a_case(), b.the_sittings()
    fleece = replace(case.material_sets["fleece"], hazards=frozenset({"magnet"}))
    found = replace(case, material_sets={**case.material_sets, "fleece": fleece})
    sheet = sheet_of(Names(found), tuesday)
    called = Names(case).material_set
    assert sheet.comes == (called("coats"),)
    assert [p.material_set for p in sheet.probes] == [
        f"{called('fleece')} (held back by a caution, not to be used)",
        called("coats"),
    ]
    assert [p.material_set for p in sheet_of(Names(case), tuesday).probes] == [
        called("fleece"),
        called("coats"),
    ]
