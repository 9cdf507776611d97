"""The help pages of the commands about a week that people are told of. For 80 columns."""

from __future__ import annotations

from genplan.cli.pages import Page
from genplan.language import N_

KEEP = Page(
    "keep",
    N_("keep a plan as the week that everybody goes by"),
    """\
genplan keep CASE [--week WEEK] [--from OUT] [--now MOMENT]
                    [--workers ADDRESS [--workers-config FILE]
                    [--workers-unencrypted]]""",
    N_("""\
Keeps a plan as the week that everybody goes by: it is put into the case folder
under weeks/WEEK, with calendars to hand out in which every sitting is confirmed.
Planning the same week again starts from it.

With --from, the plan that 'genplan plan --out OUT' wrote is kept; without it,
the week is planned now.
"""),
    N_("""\
examples:
  genplan plan my-case --week 2026-W49 --out my-week
  genplan keep my-case --from my-week

What has to be told is printed person by person.
"""),
)

CHANGE = Page(
    "change",
    N_("say that something came up, or what you wish of a week"),
    """\
genplan change CASE (--away ID | --closed ID | --missing-set ID |
                      --extra-hour ADULT HOURS) [--from WHEN] [--to WHEN]
                      [--week WEEK] [--note TEXT] [--try] [--now MOMENT]
genplan change CASE (--hold SITTING | --not SITTING | --move SITTING --to WHEN |
                      --rather ADULT --from WHEN | --apart ID ID |
                      --add KEY=VALUE ...) [--take-back] [--try] [--note TEXT]
                      [--now MOMENT]""",
    N_("""\
Adds one dated fact to changes.yaml in the case folder: somebody is away, a
place is closed, a material set is not there, or an adult has an hour more.
Without --from it holds from now, without --to until the end of that day. Then
it says which sittings of the kept weeks can no longer be held. People, places
and sets are called by id or by name, children by their aliases too, people by
the first name too where one alone has it.

With --try nothing is written: it says what the change would do to the kept
weeks, which sittings could no longer be held, what would be lost, what of it
could be won back, and who would have to be told.

Or a wish for a week: a sitting stays as it is, is not to be, or moves; rather
a sitting with another adult; two sittings or targets not on one day; a sitting
that you decide yourself. The next plan keeps the most of them that the rules
allow, and says what stands in the way of the others. SITTING is an id from
'genplan week', plan.csv, a calendar or the page. --take-back takes a wish out
again.
"""),
    N_("""\
examples:
  genplan change my-case --away pop --to 2026-12-04 --note "a cold"
  genplan change my-case --away pop --to 2026-12-04 --try
  genplan change my-case --closed library --from 2026-12-03
  genplan change my-case --missing-set winter-coat --to 2026-12-02
  genplan change my-case --extra-hour mum "tue 16:00-17:00"
  genplan change my-case --hold 2026-W49-tue-dad-2dc
  genplan change my-case --move 2026-W49-tue-dad-2dc --to 2026-12-03T16:00
  genplan change my-case --move 2026-W49-tue-dad-2dc --take-back
  genplan change my-case --rather theo --from 2026-12-04 --learner ines
  genplan change my-case --add learner=ines adult=mum location=home
    start=2026-12-05T10:00 target=coat-on material_set=rain-jacket
  genplan replan my-case
"""),
)

REPLAN = Page(
    "replan",
    N_("plan what is left of a week that people were told of"),
    """\
genplan replan CASE [--week WEEK] [--out OUT] [--keep] [--deeper]
                      [--interrupt best|nothing] [--now MOMENT]
                      [--workers ADDRESS [--workers-config FILE]
                      [--workers-unencrypted]]""",
    N_("""\
Plans a kept week again from now on. What is past or under way stays, results
so far count, and as few people as possible are told of a change: what can
still be held stays, what is due is run all the same, and what was lost is won
back with those who are told something anyway. The changes are printed person
by person.

--deeper searches once more for a week that shows more, and takes it if there
is one. It says what that costs: "3 more people told, 4 more pairs".

Without --week, the first kept week that is not over. With --keep, the new plan
is kept at once. Ctrl+C gives the best week found by then, as 'plan' does; that
one is not kept.
"""),
    N_("""\
examples:
  genplan change my-case --away pop
  genplan replan my-case --out my-week
  genplan keep my-case --from my-week
"""),
)

PUBLISH = Page(
    "publish",
    N_("put kept weeks on a calendar server"),
    """\
genplan publish CASE [--url URL] [--user NAME] [--put-back | --withdraw]
                       [--now MOMENT]""",
    N_("""\
Puts each person's calendar of the kept weeks that are not over on a CalDAV
server: one calendar for each adult and each learner. What changed is updated,
what is no longer told is removed; running it twice changes nothing. What
somebody deleted on the server is left out and named, until it changes or you
say --put-back. --withdraw takes off everything that this case put there.

The password comes from GENPLAN_CALDAV_PASSWORD in the environment, or from the
system's keyring (service 'genplan', your user name). It is never read from the
case folder and never printed. GENPLAN_CALDAV_URL and GENPLAN_CALDAV_USER may
stand for --url and --user.

Needs the extra 'publish': pip install 'genplan[publish]'. Without it, hand out
the files in weeks/WEEK/calendars.
"""),
    N_("""\
example:
  genplan publish my-case --url https://calendar.example/dav/ --user team
"""),
)
