"""The words of the help pages: what a command does, calls that work, what the words mean. For 80 columns."""

from __future__ import annotations

from dataclasses import dataclass

from genplan.language import N_
from genplan.language.marked import Marked

EXIT_CODES = N_("""\
exit codes:
  0    done; warnings may have been printed
  1    the case has errors; each was printed with its file and line
  2    the words typed make no sense
  3    a file could not be read or written
  4    the solver failed, so there is no plan
  5    the plan did not pass its own check, so it was not written
  70   a fault of the program
  130  you stopped it
""")

PROGRAM = N_("""\
Plans the checks that show whether a skill, once learned, also works with
other people, in other places and with other things: who checks what with
whom, where and when in the hours that people have.

It plans checks and prescribes no treatment. Local rules and the licensed
practitioner in charge come first.
""")

PROGRAM_END = N_("""\
first steps:
  genplan new my-case      make a folder with a small invented case to change
  genplan check my-case    see whether everything in it makes sense
  genplan plan my-case --out my-week
                           plan the coming week and write what people need

words:
  target       one skill of one learner, with what counts as correct
  combination  one adult, one location, one material set, and a value of
               whatever else the target varies
  probe        one block of test trials of a target in one combination,
               without teaching
  sitting      the probes that one adult runs with one learner at one place,
               one after the other

'genplan COMMAND --help' tells more about one command, 'genplan help WORD'
what a key, a column, a status or a word means.

""")


@dataclass(frozen=True)
class Page:
    """The help page of one command; `end` stands below the list of options, and before the exit codes."""

    name: str
    summary: Marked = Marked()
    usage: str = ""
    text: Marked = Marked()
    end: Marked = Marked()


NEW = Page(
    "new",
    N_("make a case to start from"),
    "genplan new FOLDER [--ask] [--now MOMENT]",
    N_("""\
With --ask it asks for everything, a question at a time: who it is for, the
child, who helps and when, places, things, the first skill. At the end the case
is made and its first week planned. Each answer is kept at once; the same
command goes on where you were.

Without it: makes a folder with a small invented case, with comments that tell
what each line means. Change it line by line into your own. A folder that holds
anything is refused.
"""),
    N_("""\
examples:
  genplan new my-case --ask
  genplan new my-case
  genplan check my-case
"""),
)

SCHEMA = Page(
    "schema",
    N_("print the JSON Schema of a case, for editors"),
    "genplan schema",
    N_("""\
Prints which keys a case may have, and what each may say, as a JSON Schema
(draft 2020-12). An editor that knows it says what a key means while you write
and marks what no case may say. 'genplan new' puts it beside the case; print it
anew after an update of the program.
"""),
    N_("""\
example:
  genplan schema > my-case/case.schema.json

and as the first line of each file of the case:
  # yaml-language-server: $schema=case.schema.json
"""),
)

CHECK = Page(
    "check",
    N_("say all that is wrong with a case"),
    "genplan check CASE [--week WEEK] [--now MOMENT]",
    N_("""\
Reads everything in a case folder and says all that is wrong at once: file,
line, what was found, what was expected and what to do. Nothing is changed.
Of busy calendars it looks at one week: that of now, or the one you name.
"""),
    N_("""\
example:
  genplan check my-case

words:
  error    the case cannot be used until it is put right
  warning  the case can be used, but look at it
"""),
)

PLAN = Page(
    "plan",
    N_("plan a week"),
    """\
genplan plan CASE [--week WEEK] [--weeks N] [--out OUT]
                    [--interrupt best|nothing] [--now MOMENT]
                    [--workers ADDRESS [--workers-config FILE]
                    [--workers-unencrypted]]""",
    N_("""\
Plans the probes of one week: which adult checks which target with which
things, where and when. Only hours are used in which the learner, the adult
and the place are all free.

The week and its sittings are printed. With --out, the files that people need
are written too.

Ctrl+C ends the search: the best week found by then is printed and written, and
says that it is that. Ctrl+C once more stops at once and writes nothing. With
--weeks, these are the weeks until then.
"""),
    N_("""\
examples:
  genplan plan my-case
  genplan plan my-case --week 2026-W49 --out my-week
  genplan plan my-case --weeks 4 --out my-weeks

what is in OUT afterwards (with --weeks: in a folder for each week):
  week.html     the page to look at: the week, the matrix, what was left out
                and why
  timetable.html
                the week to hang up, by adult, by place and by child, a page
                each, with the minutes used and free; timetable.csv and
                timetable-minutes.csv are the same as tables
  sheets.html   the sheets to print and fill in, one a sitting
  pages/        a page for each adult, and one for each child for the fridge
  messages/     the week of each adult as a text to copy and send
  calendars/    all.ics, and a file for each adult, learner and location, to
                import into a calendar
  plan.csv, matrix.csv, coverage.csv
                the same as tables; UTF-8, lines end in LF
  plan.json     the same for programs; run.json tells how the run went

words:
  new           a combination that nobody has probed yet
  retest        a combination that was not met, probed again after teaching
  maintenance   a combination that was shown before, probed to see whether it
                lasts
  baseline      a combination probed before anybody teaches it
  pair          two values, such as a person and a place, that must have been
                seen together in a probe

A folder that holds a case is refused as OUT. Files in OUT that are not the
program's own stay as they are.
"""),
)

RECORD = Page(
    "record",
    N_("write down what was run"),
    """\
genplan record CASE --target ID --adult ID --location ID
                      --material-set ID [--with DIM=VALUE] --correct N
                      [the other options below]
       genplan record CASE --ask [--plan OUT] [--date DAY]
       genplan record CASE --from FILE
       genplan record CASE --fell-through [SITTING] [--date DAY] [--note WHY]
       genplan record CASE --corrects LINE --target ID --date DAY --correct N""",
    N_("""\
Adds what was run as one row at the end of results.csv in the case folder.
Rows that are there stay as they are.

With --ask it asks step by step. With --from it takes a sheet that was filled
in: all of its rows, or none. With --corrects it adds a row that counts in
place of an earlier one; the earlier one stays. Lines move when a file is
sorted, so that row is named by its target and day too, and by its adult,
place, set or time where several fit. A teaching that has a time is corrected
in the same way; with --kind not-run and a note it is taken back.

A probe that the kept plan has as a maintenance or baseline probe is written
down as one.
A second probe of one combination on one day, both without a time, counts in
place of the first: that is asked about on a terminal, and told elsewhere.
What is still ahead is asked about, too, and elsewhere not added at all unless
--ahead says so; so is what would be of these weeks in another year, as if the
year was typed wrongly, unless --long-ago says so.

A child who says no, walks away or is distressed has not failed: record it as
--kind not-run with the reason in --note, not as wrong answers. If nothing of
a sitting was run (ill, tired, nobody came), --fell-through says so of all of
it at once. What is still ahead is called off before: genplan change --not.
"""),
    N_("""\
examples:
  genplan record my-case --target coat-on --adult pop \\
      --location home --material-set winter-coat \\
      --trials 5 --correct 4
  genplan record my-case --target coat-on --adult pop \\
      --location home --material-set winter-coat \\
      --kind not-run --note "He said no"
  genplan record my-case --ask --plan my-week
  genplan record my-case --from filled.csv
  genplan record my-case --fell-through --date 2026-12-01 --note ill
  genplan record my-case --corrects 12 --target coat-on \\
      --date 2026-12-01 --correct 3

a sheet has the columns of results.csv; or it is a plan.csv with the columns
correct, prompted, observer, observer_correct, marks, observer_marks,
steps_kept, note and not_run_because added (those you need). Rows in which
nothing is filled in are left out.

words:
  probe        a block of test trials without teaching
  maintenance  a probe of something that was shown before
  teaching     it was taught in this combination
  baseline     a probe of what nobody has taught yet; counts for nothing else
  not-run      it was planned and not run; counts neither as correct nor as
               wrong
  correct      responses that were right without any help
  prompted     responses that were right with help
  marks        one sign a trial: + correct without help, p correct with help,
               - not correct
"""),
)

MATRIX = Page(
    "matrix",
    N_("show what is known of each combination"),
    """\
genplan matrix CASE [--target ID] [--learner ID] [--csv [FILE]]
                      [--now MOMENT]""",
    N_("""\
Shows every combination of every target with what is known of it: taught,
untested, met, not met or not possible, and why.
"""),
    N_("""\
examples:
  genplan matrix my-case --target coat-on
  genplan matrix my-case --learner ines --csv ines.csv

words:
  taught        it was taught in this combination and not probed since
  untested      nobody has probed it in this combination yet
  met           the latest probe reached the pass mark
  not met       the latest probe did not reach it; it waits for teaching
                before it is probed again
  not possible  a rule stands against it, and the row says which
"""),
)
