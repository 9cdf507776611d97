"""The keys of learners and adults."""

from __future__ import annotations

from genplan.case import AdultLimits, LearnerLimits
from genplan.case.safety import ALLERGENS
from genplan.casefile import time_texts
from genplan.casefile.busy_reading import UtcSeries
from genplan.casefile.composite_types import ids_or_all, list_of
from genplan.casefile.domain_types import EMAIL_TEXT, email, words
from genplan.casefile.keys.rows import away, free, goes_with, limit, name
from genplan.casefile.privacy import ALLERGENS_MIXED, AS_IS, BIRTH, CALENDAR, EMAIL, GROUP, ids, said
from genplan.casefile.record_types import BY_HAND, Field, Key, Shape, shape
from genplan.casefile.scalar_types import choice, decimal, integer, parsed, text, yes_no
from genplan.language import N_

A_BIRTH = parsed(N_("a month such as 2021-04"), time_texts.birth, f"{time_texts.A_DAY}|[0-9]{{4}}-[0-9]{{2}}")

UTC_SERIES = (
    ("", N_("not known: both hours are busy")),
    (UtcSeries.UTC.value, N_("at their hour in UTC")),
    (UtcSeries.LOCAL.value, N_("by the clock of the calendar's own zone")),
)
AN_EMAIL = parsed(N_("an address such as mum@example.org"), email, EMAIL_TEXT)

LEARNER_LIMITS: Shape = {
    "sittings_per_day": limit(N_("most sittings on one day"), N_("Most sittings a day")),
    "probes_per_day": limit(N_("most probes on one day"), N_("Most probes a day")),
    "probes_per_sitting": limit(N_("most probes in one sitting"), N_("Most probes in a sitting")),
    "sitting_minutes": limit(N_("longest sitting, settling in included"), N_("Longest sitting, minutes")),
    "sittings_per_week": limit(N_("most sittings in one week"), N_("Most sittings a week")),
    "teachings_per_day": limit(N_("most teachings on one day"), N_("Most teachings a day")),
    "retests_per_day": limit(
        N_("most probes on one day of what was not met before"), N_("Most retests a day")
    ),
}
ADULT_LIMITS: Shape = {
    "sittings_per_day": limit(N_("most sittings on one day"), N_("Most sittings a day")),
    "minutes_per_week": limit(N_("most minutes in sittings in one week"), N_("Most minutes a week")),
    "sittings_per_week": limit(N_("most sittings in one week"), N_("Most sittings a week")),
}
LEARNER: Shape = {
    "name": name(
        N_("shown on the family's own sheets"), "learner ", N_("Shown here and on the family's own sheets.")
    ),
    "alias": Key(
        text(40),
        N_("shown in every calendar and on every shared page"),
        copy=said("L"),
        form=Field(
            N_("Alias"), hint=N_("Shown in every calendar and on every page that is shared, such as W.")
        ),
        default=N_("the first letter of the name and a dot"),
    ),
    "born": Key(
        A_BIRTH,
        N_(
            "for small parts and minimum ages. A day such as 2021-04-12 "
            "may be given; of a month alone the last day counts"
        ),
        copy=BIRTH,
        form=Field(
            N_("Born"), "plain", N_("The month is enough: 2021-04. It decides about small parts and ages.")
        ),
        default=N_("not known"),
    ),
    "mouths": Key(
        yes_no(),
        N_(
            "everything still goes into the mouth, whatever the age: no set with a small part is planned then"
        ),
        copy=AS_IS,
        form=Field(
            N_("Does the child still put things into the mouth?"),
            "yes or no",
            N_("Then nothing with a piece small enough to be swallowed is planned, whatever the age."),
        ),
        default="no",
    ),
    "free": free(N_("when probes may be run"), N_("Hours in which a probe may be run")),
    "away": away(N_("days and hours off: holidays, appointments"), "away", N_("Days off")),
    "limits": Key(
        shape(N_("a learner's limits"), LEARNER_LIMITS),
        N_("what is enough"),
        copy=GROUP,
        form=None,
        default=N_("no limit"),
        to=lambda given: LearnerLimits(**given),
    ),
    "allergens": Key(
        words(),
        N_("what no material set may hold"),
        copy=ALLERGENS_MIXED,
        form=Field(N_("Must not meet"), "words", of="other_allergens", args=(tuple(sorted(ALLERGENS)),)),
        to=frozenset,
    ),
    "needs": Key(
        decimal(0, 1000, "1.5"),
        N_("this learner's weight when hours are short"),
        copy=AS_IS,
        form=Field(
            N_("Weight when hours are short"), "plain", N_("1, if nothing is said; 2 counts twice as much.")
        ),
        default="1",
    ),
}
ADULT: Shape = {
    "name": name(N_("shown in calendars and on sheets"), "adult "),
    "role": Key(
        text(),
        N_("for readers: parent, relative, friend, teacher, aide, therapist, or any other"),
        copy=said("role "),
        form=Field(N_("Role"), hint=N_("Such as parent, relative, teacher.")),
    ),
    "free": free(N_("when the adult can run probes"), N_("Hours")),
    "away": away(N_("days and hours off: holidays, appointments"), "away", N_("Days off")),
    "learners": goes_with(N_("whom the adult works with"), "learners", N_("Works with"), N_("every learner")),
    "locations": goes_with(N_("where the adult goes"), "locations", N_("Goes to"), N_("every location")),
    "briefed_on": goes_with(
        N_("the targets that this adult knows how to probe"),
        "targets",
        N_("Knows how to probe"),
        N_("every target"),
    ),
    "teaches": Key(
        ids_or_all(),
        N_(
            "the targets that this adult may teach. Who may teach one may also sit beside an adult who may not"
        ),
        copy=ids("targets"),
        form=Field(
            N_("May teach"), "several", of="targets", args=(N_("every target of the line above"), False)
        ),
        default=N_("those of `briefed_on`"),
        lands=BY_HAND,
    ),
    "limits": Key(
        shape(N_("an adult's limits"), ADULT_LIMITS),
        N_("what is enough for this adult"),
        copy=GROUP,
        form=None,
        default=N_("no limit"),
        to=lambda given: AdultLimits(**given),
    ),
    "busy": Key(
        text(300),
        N_(
            "a calendar exported into the case folder, such as "
            "busy/grandad.ics; its times are taken off `free`"
        ),
        copy=CALENDAR,
        form=Field(N_("Busy calendar"), hint=N_("A calendar file in the case folder, such as busy/dad.ics.")),
    ),
    "email": Key(
        list_of(AN_EMAIL),
        N_("the adult's address in invitations: those that it declined in `busy` take no time"),
        copy=EMAIL,
        form=Field(
            N_("E-mail address in invitations"), "lines", N_("One a line. It only tells whose answer counts.")
        ),
        default=N_("not known"),
        lands="emails",
    ),
    "tentative_busy": Key(
        yes_no(),
        N_("whether what is only tentative in `busy` takes time"),
        copy=AS_IS,
        form=Field(N_("Do tentative events in the calendar take time?"), "yes or no"),
        default="yes",
    ),
    "busy_margin_minutes": Key(
        integer(0, 240),
        N_(
            "minutes kept free before and after an event in `busy` that "
            "has a place (LOCATION), and none of the case's"
        ),
        copy=AS_IS,
        form=Field(N_("Minutes for the way to events in the calendar"), "number"),
        default="0",
    ),
    "utc_series": Key(
        choice([r.value for r in UtcSeries]),
        N_(
            "how a series in UTC is meant in a `busy` that names a zone of its own "
            "(X-WR-TIMEZONE): at its hour in UTC, or by the clock of that zone. With "
            "`both` both hours are busy, and `check` names the events"
        ),
        copy=AS_IS,
        form=Field(N_("Repeated events in UTC are meant"), "choice", args=(UTC_SERIES,)),
        default="both",
    ),
}
