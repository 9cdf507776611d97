"""The help pages of the commands about what was run."""

from __future__ import annotations

from genplan.cli.pages import Page
from genplan.language import N_

HISTORY = Page(
    "history",
    N_("show every row of a combination"),
    """\
genplan history CASE --target ID [--adult ID] [--location ID]
                      [--material-set ID] [--with DIM=VALUE] [--now MOMENT]""",
    N_("""\
Shows every row of results.csv about a target, combination by combination in
order of time: what it did, what it undid, and which row corrects which.
"""),
    N_("""\
examples:
  genplan history my-case --target coat-on
  genplan history my-case --target coat-on --adult pop --location home
"""),
)

PROGRESS = Page(
    "progress",
    N_("tell what the results say so far"),
    "genplan progress CASE [--learner ID] [--csv FOLDER] [--now MOMENT]",
    N_("""\
Tells for each target what is tried and met of what the case asks for, how much
of it without teaching, what became of each maintenance probe, what is owed next
and who is not briefed; and for each learner where it breaks, how far a second
observer agreed, how far the steps of a probe were kept and how many sittings
with whom were not run. With --csv it writes the same figures as tables.
"""),
    N_("""\
examples:
  genplan progress my-case --learner ines
  genplan progress my-case --csv progress

what is in FOLDER afterwards:
  progress-targets.csv    a row for each target
  progress-values.csv     a row for each adult, place or set looked at, and
                          whether the skills are met less often there
  progress-observers.csv  a row for each second observer of a target
  progress-sittings.csv   a row for each adult with each learner: sittings that
                          are written down, and how many were not run

words:
  tried           a probe was run, met or not; teaching alone is no try
  generalised     as many adults, locations and material sets were met as
                  'generalised_when' asks for; no judgement beyond that
  lapsed          a maintenance probe was run and not met
  where it breaks the value whose probes are met less often than the rest
                  where nothing was taught, by an exact test within each
                  target. It is called a finding only if chance alone would
                  show any such in at most 5 of 100 learners
"""),
)

LOADS = Page(
    "loads",
    N_("tell what each adult gave over the last weeks, and what was not held"),
    "genplan loads CASE [--weeks N] [--out OUT] [--now MOMENT]",
    N_("""\
Tells of each adult, for each of the last weeks and in all, how many minutes and
sittings people were told of, how many of them were held and how many were not.
Then each sitting that was not held, with the reason that is written down and
whose absence it was. Kept weeks say what was told, results.csv what was run.
With --out it writes the same as a page and tables.
"""),
    N_("""\
examples:
  genplan loads my-case
  genplan loads my-case --weeks 4 --out loads

what is in OUT afterwards:
  loads.html    the page
  loads.csv     a row for each adult and week, and one for the sum
  not-held.csv  a row for each sitting that was not held

With 'fair_over_weeks: 4' in the policy a plan counts what people had in the
three weeks before, so that who gave much is asked for less.
"""),
)

REVIEW = Page(
    "review",
    N_("make the page for a team meeting"),
    """\
genplan review CASE --from DAY --to DAY [--learner ID] [--out OUT]
                      [--names] [--pdf] [--now MOMENT]""",
    N_("""\
Tells for each learner what happened in a span of days: tried, met, broken,
taught again, maintained, observed, and what is next. With --out it writes one
page a learner for the meeting: what the team needs first, what was done, each
target with a picture of all its probes, its matrix and its curve, what the
results show and cannot show, what is asked of whom, and room for decisions.
"""),
    N_("""\
example:
  genplan review my-case --from 2026-10-01 --to 2026-11-30 --out review

what is in OUT afterwards:
  review-ID.html      the page of one learner, by the alias
  review-ID.pdf       the same to print, with --pdf
  review-targets.csv  a row for each target
  review-rows.csv     a row for each result in the span, and what it did
  review-curve.csv    tuples shown, tried and met, day by day
  review-points.csv   everything that was run, as the picture has it
  review-phases.csv   the changes of phase of each target
  review-asked.csv    what is asked of whom
"""),
)

CHANCE = Page(
    "chance",
    N_("tell what a pass mark can and cannot show"),
    "genplan chance MARK [--trials N]",
    N_("""\
Tells how often a learner meets a mark such as 4/5, by how often single trials
are correct, and what each result says of that. It reads no case.
"""),
    N_("""\
examples:
  genplan chance 4/5
  genplan chance 4/5 --trials 10
"""),
)
