"""`genplan progress --csv`: names and order of the columns are a contract, and each figure is one that is said too."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

from genplan.case import Case, MaterialSet, PassMark, Target, TargetState
from genplan.cli import main
from genplan.coverage.review import review
from genplan.evidence.log import Log, Result, ResultKind
from genplan.report.breaks_words import breaks_sentences
from genplan.report.names_and_words import Names
from genplan.report.progress_tables import progress_tables
from genplan.report.tables import csv_bytes
from tests.fixtures import builders as b
from tests.fixtures.places import EXAMPLES

DAY = date(2026, 11, 28)
HEADS = {
    "progress-targets.csv": "learner,target,tried,met,met_untaught,taught_met,taught_run,other_met,other_run"
    ",generalised,missing,lapsed_where_taught,criterion_met_since,probes_met,probes_run",
    "progress-values.csv": "learner,dimension,value,met,run,others_met,others_run,p,p_corrected,named",
    "progress-observers.csv": "learner,target,observer,probes,observed,total_agreement,trial_agreement,low,high",
    "progress-sittings.csv": "learner,adult,written,not_run,child_reason,low,high",
}
"""As the formats say it, for programs that read them."""
TAUGHT = ("mum", "home", "jackets")
TARGET = b.a_target(generalised_when={"adult": 3}, generalised_with=({"location": "school"},), never=())


def row(line: int, correct: int, combination: tuple[str, ...], kind: str = "probe", **more: object) -> Result:
    given = {"trials": 5, "correct": correct} | more
    return Result(
        line=line,
        date=date(2026, 11, line),
        time=None,
        target=TARGET.id,
        kind=ResultKind(kind),
        combination=combination,
        **given,  # type: ignore[arg-type]
    )


def case_of(target: Target) -> Case:
    sets = {
        v: MaterialSet(id=v, name=v) for d in target.dimensions for v in d.values if d.name == "material_set"
    }
    plain = b.a_case(targets=[target])
    return replace(plain, material_sets=sets | dict(plain.material_sets))


def tables(log: Log, target: Target = TARGET) -> dict[str, list[dict[str, str]]]:
    case = case_of(target)
    found = progress_tables([review(case, "wren", log, date(2026, 11, 1), DAY)])
    return {name: list(csv.DictReader(StringIO(csv_bytes(t).decode()))) for name, t in found.items()}


LOG = Log.of(
    [
        row(1, 5, TAUGHT, "maintenance", observer="dad", observer_correct=4),
        row(2, 2, TAUGHT, "maintenance"),
        row(3, 1, ("grandad", "park", "coats")),
        row(4, 5, ("grandad", "park", "coats"), "teaching"),
        row(5, 5, ("grandad", "park", "coats")),
        row(6, 4, ("teacher", "park", "fleece"), observer="aide", observer_correct=4),
        row(7, 0, ("teacher", "school", "coats")),
    ]
)


def test_a_target_has_each_figure_once() -> None:
    """Taught: mum at home twice, once met, and grandad in the park after his lesson. Others: his first probe, and the
    teacher's two, of which one was met. Tried are all pairs of four combinations but the two that two of them hold:
    4 times 3, none twice but none; met are 3 of grandad's and 3 of the teacher's in the park."""
    (told,) = tables(LOG)["progress-targets.csv"]
    assert told == {
        "learner": "wren",
        "target": TARGET.id,
        "tried": "12",
        "met": "6",
        "met_untaught": "3",
        "taught_met": "2",
        "taught_run": "3",
        "other_met": "1",
        "other_run": "3",
        "generalised": "no",
        "missing": "1 adult; location=school",
        "lapsed_where_taught": "yes",
        "criterion_met_since": "",
        "probes_met": "3",
        "probes_run": "6",
    }


def test_the_day_of_the_criterion_and_a_case_that_asks_for_nothing() -> None:
    taught = replace(
        TARGET, state=TargetState.TEACHING, criterion=PassMark(4, 5), generalised_when={}, generalised_with=()
    )
    (told,) = tables(Log.of([row(4, 5, TAUGHT, "teaching")]), taught)["progress-targets.csv"]
    assert (told["criterion_met_since"], told["generalised"], told["missing"]) == ("2026-11-04", "", "")


def test_observers_have_a_row_each() -> None:
    told = tables(LOG)["progress-observers.csv"]
    assert [(r["observer"], r["probes"], r["observed"], r["total_agreement"]) for r in told] == [
        ("aide", "6", "1", "1.000"),
        ("dad", "6", "1", "0.800"),
    ]
    # 4 and 4 of 5 differ on 0 to 2 trials, 5 and 4 on one
    assert [(r["low"], r["high"]) for r in told] == [("0.600", "1.000"), ("0.800", "0.800")]
    (none,) = tables(Log.of([row(1, 5, TAUGHT)]))["progress-observers.csv"]
    assert (none["observer"], none["probes"], none["observed"], none["total_agreement"]) == ("", "1", "0", "")


def test_a_value_is_named_where_the_text_names_it() -> None:
    sets = tuple(f"set-{i}" for i in range(14))
    target = replace(
        TARGET,
        dimensions=tuple(
            replace(d, values=sets) if d.name == "material_set" else d for d in TARGET.dimensions
        ),
    )
    rows = [row(i + 1, 5, ("grandad", "park", s)) for i, s in enumerate(sets)]
    rows += [row(i + 15, 0, ("grandad", "school", s)) for i, s in enumerate(sets[:13])]
    told = {r["value"]: r for r in tables(Log.of(rows), target)["progress-values.csv"]}
    assert [told["school"][k] for k in ("met", "run", "others_met", "others_run", "named")] == [
        "0",
        "13",
        "14",
        "14",
        "yes",
    ]
    assert float(told["school"]["p"]) < 1e-6
    assert told["park"]["named"] == ""
    # one adult alone: there is nobody to compare with
    assert (told["grandad"]["run"], told["grandad"]["p"], told["grandad"]["p_corrected"]) == ("27", "", "")
    case = case_of(target)
    said = " ".join(
        breaks_sentences(Names(case), review(case, "wren", Log.of(rows), date(2026, 11, 1), DAY).breaks)
    )
    assert "0 of 13 at School" in said


def test_the_command_writes_three_tables_with_their_columns(tmp_path: Path) -> None:
    out = tmp_path / "out"
    now = ("--now", "2026-11-29T12:00")
    assert main(["progress", str(EXAMPLES / "family"), "--csv", str(out), *now]) == 0
    assert sorted(p.name for p in out.iterdir()) == sorted(HEADS)
    for name, head in HEADS.items():
        text = (out / name).read_text("utf-8")
        assert text.splitlines()[0] == head
    for told in csv.DictReader(StringIO((out / "progress-targets.csv").read_text("utf-8"))):
        counts = {
            k: int(v)
            for k, v in told.items()
            if k.partition("_")[2] in ("met", "run") or k in ("tried", "met")
        }
        assert counts["taught_run"] + counts["other_run"] == counts["probes_run"]
        assert counts["taught_met"] + counts["other_met"] == counts["probes_met"]
        assert counts["tried"] >= counts["met"] >= int(told["met_untaught"])
