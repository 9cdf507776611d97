"""The help pages of the commands about what was run."""

from __future__ import annotations

from genplan.cli.pages import Page

HISTORY = Page(
    "history",
    "show every row of a combination",
    """\
genplan history CASE --target ID [--adult ID] [--location ID]
                      [--material-set ID] [--with DIM=VALUE] [--now MOMENT]""",
    """\
Shows every row of results.csv about a target, combination by combination in
order of time: what it did, what it undid, and which row corrects which.
""",
    """\
examples:
  genplan history my-case --target coat-on
  genplan history my-case --target coat-on --adult pop --location home
""",
)

PROGRESS = Page(
    "progress",
    "tell what the results say so far",
    "genplan progress CASE [--learner ID] [--now MOMENT]",
    """\
Tells for each target what is shown and met of what the case asks for, what
became of each maintenance probe, what is owed next and who is not briefed;
and for each learner where it breaks, how far a second observer agreed and how
far the steps of a probe were kept.
""",
    """\
example:
  genplan progress my-case --learner ines

words:
  generalised     as many adults, locations and material sets were met as
                  'generalised_when' asks for; no judgement beyond that
  lapsed          a maintenance probe was run and not met
  where it breaks the value whose probes are met less often than the rest, by
                  an exact test within each target. It is called a finding
                  only if chance alone would show any such in at most 5 of 100
                  learners
""",
)

REVIEW = Page(
    "review",
    "make the page for a team meeting",
    """\
genplan review CASE --from DAY --to DAY [--learner ID] [--out OUT]
                      [--names] [--now MOMENT]""",
    """\
Tells for each learner what happened in a span of days: shown, met, broken,
taught again, maintained, observed, and what is next. With --out it writes one
page a learner with a matrix and a curve for each target, and tables.
""",
    """\
example:
  genplan review my-case --from 2026-10-01 --to 2026-11-30 --out review

what is in OUT afterwards:
  review-ID.html      the page of one learner, by the alias
  review-targets.csv  a row for each target
  review-rows.csv     a row for each result in the span, and what it did
  review-curve.csv    tuples shown, tested and met, day by day
""",
)

CHANCE = Page(
    "chance",
    "tell what a pass mark can and cannot show",
    "genplan chance MARK [--trials N]",
    """\
Tells how often a learner meets a mark such as 4/5, by how often single trials
are correct, and what each result says of that. It reads no case.
""",
    """\
examples:
  genplan chance 4/5
  genplan chance 4/5 --trials 10
""",
)
