"""The keys of learners and adults."""

from __future__ import annotations

from genplan.case import AdultLimits, LearnerLimits
from genplan.case.safety import ALLERGENS
from genplan.casefile import time_texts
from genplan.casefile.busy_reading import UtcSeries
from genplan.casefile.composite_types import ids_or_all, list_of
from genplan.casefile.domain_types import EMAIL_TEXT, email, words
from genplan.casefile.keys.rows import away, free, goes_with, limit, name
from genplan.casefile.privacy import AS_IS, AVOIDED, BIRTH, CALENDAR, EMAIL, GROUP, ids, said
from genplan.casefile.record_types import BY_HAND, Field, Key, Shape, shape
from genplan.casefile.scalar_types import choice, decimal, integer, parsed, text, yes_no

A_BIRTH = parsed("a month such as 2021-04", time_texts.birth, f"{time_texts.A_DAY}|[0-9]{{4}}-[0-9]{{2}}")

UTC_SERIES = (
    ("", "not known: both hours are busy"),
    (UtcSeries.UTC.value, "at their hour in UTC"),
    (UtcSeries.LOCAL.value, "by the clock of the calendar's own zone"),
)
AN_EMAIL = parsed("an address such as mum@example.org", email, EMAIL_TEXT)

LEARNER_LIMITS: Shape = {
    "sittings_per_day": limit("most sittings on one day", "Most sittings a day"),
    "probes_per_day": limit("most probes on one day", "Most probes a day"),
    "probes_per_sitting": limit("most probes in one sitting", "Most probes in a sitting"),
    "sitting_minutes": limit("longest sitting, settling in included", "Longest sitting, minutes"),
    "sittings_per_week": limit("most sittings in one week", "Most sittings a week"),
    "teachings_per_day": limit("most teachings on one day", "Most teachings a day"),
    "retests_per_day": limit("most probes on one day of what was not met before", "Most retests a day"),
}
ADULT_LIMITS: Shape = {
    "sittings_per_day": limit("most sittings on one day", "Most sittings a day"),
    "minutes_per_week": limit("most minutes in sittings in one week", "Most minutes a week"),
    "sittings_per_week": limit("most sittings in one week", "Most sittings a week"),
}
LEARNER: Shape = {
    "name": name(
        "shown on the family's own sheets", "learner ", "Shown here and on the family's own sheets."
    ),
    "alias": Key(
        text(40),
        "shown in every calendar and on every shared page",
        copy=said("L"),
        form=Field("Alias", hint="Shown in every calendar and on every page that is shared, such as W."),
        default="the first letter of the name and a dot",
    ),
    "born": Key(
        A_BIRTH,
        "for small parts and minimum ages. A day such as 2021-04-12 may be given; of a month alone the last day counts",
        copy=BIRTH,
        form=Field("Born", "plain", "The month is enough: 2021-04. It decides about small parts and ages."),
        default="not known",
    ),
    "free": free("when probes may be run", "Hours in which a probe may be run"),
    "away": away("days and hours off: holidays, appointments", "away", "Days off"),
    "limits": Key(
        shape("a learner's limits", LEARNER_LIMITS),
        "what is enough",
        copy=GROUP,
        form=None,
        default="no limit",
        to=lambda given: LearnerLimits(**given),
    ),
    "allergens": Key(
        words(),
        "what no material set may hold",
        copy=AVOIDED,
        form=Field("Must not meet", "words", of="other_allergens", args=(tuple(sorted(ALLERGENS)),)),
        to=frozenset,
    ),
    "needs": Key(
        decimal(0, 1000, "1.5"),
        "this learner's weight when hours are short",
        copy=AS_IS,
        form=Field("Weight when hours are short", "plain", "1, if nothing is said; 2 counts twice as much."),
        default="1",
    ),
}
ADULT: Shape = {
    "name": name("shown in calendars and on sheets", "adult "),
    "role": Key(
        text(),
        "for readers: parent, relative, friend, teacher, aide, therapist, or any other",
        copy=said("role "),
        form=Field("Role", hint="Such as parent, relative, teacher."),
    ),
    "free": free("when the adult can run probes", "Hours"),
    "away": away("days and hours off: holidays, appointments", "away", "Days off"),
    "learners": goes_with("whom the adult works with", "learners", "Works with", "every learner"),
    "locations": goes_with("where the adult goes", "locations", "Goes to", "every location"),
    "briefed_on": goes_with(
        "the targets that this adult knows how to probe", "targets", "Knows how to probe", "every target"
    ),
    "teaches": Key(
        ids_or_all(),
        "the targets that this adult may teach. Who may teach one may also sit beside an adult who may not",
        copy=ids("targets"),
        form=Field("May teach", "several", of="targets", args=("every target of the line above", False)),
        default="those of `briefed_on`",
        lands=BY_HAND,
    ),
    "limits": Key(
        shape("an adult's limits", ADULT_LIMITS),
        "what is enough for this adult",
        copy=GROUP,
        form=None,
        default="no limit",
        to=lambda given: AdultLimits(**given),
    ),
    "busy": Key(
        text(300),
        "a calendar exported into the case folder, such as busy/grandad.ics; its times are taken off `free`",
        copy=CALENDAR,
        form=Field("Busy calendar", hint="A calendar file in the case folder, such as busy/dad.ics."),
    ),
    "email": Key(
        list_of(AN_EMAIL),
        "the adult's address in invitations: those that it declined in `busy` take no time",
        copy=EMAIL,
        form=Field(
            "E-mail address in invitations", "lines", "One a line. It only tells whose answer counts."
        ),
        default="not known",
        lands="emails",
    ),
    "tentative_busy": Key(
        yes_no(),
        "whether what is only tentative in `busy` takes time",
        copy=AS_IS,
        form=Field("Do tentative events in the calendar take time?", "yes or no"),
        default="yes",
    ),
    "busy_margin_minutes": Key(
        integer(0, 240),
        "minutes kept free before and after an event in `busy` that has a place (LOCATION), and none of the case's",
        copy=AS_IS,
        form=Field("Minutes for the way to events in the calendar", "number"),
        default="0",
    ),
    "utc_series": Key(
        choice([r.value for r in UtcSeries]),
        "how a series in UTC is meant in a `busy` that names a zone of its own (X-WR-TIMEZONE): at its hour in UTC, or"
        " by the clock of that zone. With `both` both hours are busy, and `check` names the events",
        copy=AS_IS,
        form=Field("Repeated events in UTC are meant", "choice", args=(UTC_SERIES,)),
        default="both",
    ),
}
