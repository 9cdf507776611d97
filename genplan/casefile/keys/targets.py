"""The keys of targets."""

from __future__ import annotations

from dataclasses import replace

from genplan.case import TargetState, Wish
from genplan.case.targets import Teach
from genplan.casefile import time_texts
from genplan.casefile.composite_types import list_of, table_of
from genplan.casefile.domain_types import criterion, dimension_name, pattern, wish
from genplan.casefile.keys.policy import (
    A_WEEK,
    AFTER_DAYS,
    COVER,
    IN_A_ROW,
    LADDER,
    MINUTES,
    TAUGHT_MARK,
    TIMES,
    WHICH_TO_TEACH,
)
from genplan.casefile.keys.rows import name, varied
from genplan.casefile.privacy import AS_IS, COUNTS, DATES, LOST, PATTERNS, VARIED, ids, said
from genplan.casefile.record_types import BY_HAND, Field, Key, Shape
from genplan.casefile.scalar_types import (
    an_id,
    choice,
    integer,
    lines_as_written,
    parsed,
    pass_mark,
    text,
    yes_no,
)
from genplan.language import N_

STATES = (
    ("", N_("mastered")),
    ("teaching", N_("teaching: not probed yet")),
    ("paused", N_("paused: not probed now")),
)
COVERS = (
    ("", N_("as the policy says")),
    ("each-value", N_("each adult, location and set once")),
    ("pairs", N_("every pair")),
    ("triples", N_("every triple")),
    ("all", N_("every combination")),
)
WHICH = (
    ("", N_("as the policy says")),
    ("each", N_("each that was not met")),
    ("fewest", N_("the fewest that hold all that only failed")),
)
IN_WORDS = N_(
    "on how many days in a row it has to be met goes under 'criterion_days', anything else under 'how_taught'"
)
EXTRA_VALUES = list_of(text(), least=1, apart=True, expects=N_("values, such as [by hand, by card]"))
A_SKILL = replace(an_id(), says=N_("the id of a skill under 'skills'"))
SOME_PATTERNS = list_of(pattern(), one_alone=False)

TARGET: Shape = {
    "learner": Key(
        an_id(),
        N_("whose skill it is"),
        copy=ids("learners"),
        form=Field(N_("Learner"), "one of", of="learners"),
        required=True,
    ),
    "like": Key(
        A_SKILL,
        N_(
            "the skill under `skills` that says what this target leaves out. A key of "
            "the target's own takes the place of the skill's, lists whole"
        ),
        copy=LOST,
        form=Field(N_("Like"), "one of", N_("What this target leaves out is said there."), of="skills"),
        lands=BY_HAND,
    ),
    "name": name(N_("shown on sheets"), "target "),
    "correct_when": Key(
        text(2000),
        N_("what counts as correct"),
        copy=said("what counts as correct "),
        form=Field(N_("Counts as correct"), "long", N_("What is seen, how soon, with how much help.")),
        default=N_("nothing, with a warning"),
    ),
    "instruction": Key(
        text(2000),
        N_("what the adult says"),
        copy=said("instruction "),
        form=Field(N_("What the adult says or does"), "long"),
    ),
    "spoken": Key(
        yes_no(),
        N_(
            "whether `instruction` is said. With `no` it is what the adult does, and stands nowhere as speech"
        ),
        copy=AS_IS,
        form=Field(N_("Is that said aloud?"), "yes or no"),
        default="yes",
    ),
    "state": Key(
        choice([s.value for s in TargetState]),
        N_("only mastered targets are probed, but for baseline probes of those in `teaching`"),
        copy=AS_IS,
        form=Field(N_("State"), "choice", args=(STATES,)),
        default="mastered",
        to=TargetState,
    ),
    "mastered_on": Key(
        parsed(time_texts.A_DATE, time_texts.day, time_texts.A_DAY),
        N_("maintenance counts from here"),
        copy=DATES,
        form=Field(N_("Mastered on"), "plain", N_("Such as 2026-10-19. Maintenance is counted from here.")),
        default=N_("no maintenance"),
    ),
    "criterion": Key(
        pass_mark(IN_WORDS),
        N_(
            "how mastery is judged. Of a target that is still taught, "
            "the program says when its results meet it"
        ),
        copy=AS_IS,
        form=Field(N_("Mastery criterion"), "plain", N_("Such as 9/10.")),
    ),
    "criterion_days": Key(
        IN_A_ROW,
        N_("on how many days in a row, of those on which it was taught, the criterion has to be met"),
        copy=AS_IS,
        form=Field(N_("Criterion met on so many days in a row"), "number"),
        default=N_("the policy's"),
    ),
    "steps": Key(
        list_of(text(500), expects=N_("a list of steps, such as [Sit opposite, Say it once]")),
        N_(
            "how a probe is run, step by step, in the practitioner's own words, "
            "with what to do when the child does not respond. Printed for "
            "whoever is new to it, and for an observer to mark"
        ),
        copy=said("step "),
        form=Field(
            N_("How a probe is run, step by step"),
            "lines",
            N_("One a line, with what to do when the child does not respond. They are printed as they are."),
        ),
    ),
    "how_taught": Key(
        lines_as_written(2000),
        N_("how it is taught, in the practitioner's own words. The program prints them as they are"),
        copy=said("how it is taught "),
        form=Field(
            N_("How it is taught"),
            "long",
            N_("In the practitioner's own words. They are printed as they are."),
        ),
    ),
    "taught": Key(
        SOME_PATTERNS,
        N_(
            "combinations that teaching used. An extra dimension may be left out: then only the rest is shown"
        ),
        copy=PATTERNS,
        form=Field(
            N_("Taught with"), "patterns", N_("A row for each combination of teaching."), of="dimensions"
        ),
    ),
    "hold_out": Key(
        SOME_PATTERNS,
        N_("combinations to probe and never to teach"),
        copy=PATTERNS,
        form=Field(
            N_("Never taught, only probed"),
            "patterns",
            N_("A row holds values that go together."),
            of="dimensions",
        ),
    ),
    "teach": Key(
        WHICH_TO_TEACH,
        N_(
            "which of the combinations that were not met are taught: each, or "
            "the fewest that between them hold all that only failed"
        ),
        copy=AS_IS,
        form=Field(N_("What was not met is taught in"), "choice", args=(WHICH,)),
        default=N_("the policy's"),
        to=Teach,
    ),
    "teaching_minutes": Key(
        MINUTES,
        N_("length of one teaching"),
        copy=AS_IS,
        form=Field(N_("Minutes of one teaching"), "number"),
        default=N_("the policy's"),
    ),
    "teachings_before_retest": Key(
        TIMES,
        N_("so many teachings after a combination was not met before it is probed again"),
        copy=AS_IS,
        form=Field(N_("Teachings before a retest"), "number"),
        default=N_("the policy's"),
    ),
    "retest_after_days": Key(
        AFTER_DAYS,
        N_("days from the last of them until the retest may be run"),
        copy=AS_IS,
        form=Field(N_("Days from teaching to retest"), "number"),
        default=N_("the policy's"),
    ),
    "teaching_per_week": Key(
        A_WEEK,
        N_("teachings a week in what `taught` names, while the state is teaching"),
        copy=AS_IS,
        form=Field(N_("Teachings a week while it is taught"), "number"),
        default=N_("the policy's"),
    ),
    "taught_when": Key(
        TAUGHT_MARK,
        N_(
            "a teaching counts if so many of its trials were correct without "
            "help. `any`: each counts, with trials or without"
        ),
        copy=AS_IS,
        form=Field(N_("A teaching counts with"), "plain", N_("Correct of trials, such as 4/5, or any.")),
        default=N_("the policy's"),
    ),
    "adults": varied(
        N_("the adults to vary"), "adults", N_("Adults to vary"), N_("everybody who works with the learner")
    ),
    "locations": varied(N_("the places to vary"), "locations", N_("Locations to vary")),
    "material_sets": varied(N_("the sets to vary"), "material_sets", N_("Material sets to vary")),
    "also_vary": Key(
        table_of(EXTRA_VALUES, N_('names with values, such as {wording: ["A", "B"]}'), dimension_name),
        N_("more dimensions. The values of `wording` are spoken in place of the instruction"),
        copy=VARIED,
        form=Field(N_("Also vary"), "varied", N_("A name such as wording, and its values, one a line.")),
        lands=BY_HAND,
    ),
    "cover": Key(
        COVER,
        N_("what must have been seen together: each value, each pair, …"),
        copy=AS_IS,
        form=Field(N_("Must be seen together"), "choice", args=(COVERS,)),
        default=N_("the policy's"),
    ),
    "trials": Key(
        integer(1, 1000),
        N_("trials of one probe"),
        copy=AS_IS,
        form=Field(N_("Trials of one probe"), "number"),
        default=N_("the policy's"),
    ),
    "pass_mark": Key(
        pass_mark(),
        N_("a probe that reaches it is met"),
        copy=AS_IS,
        form=Field(N_("Met with"), "plain", N_("Correct of trials, such as 4/5.")),
        default=N_("the policy's"),
    ),
    "minutes": Key(
        MINUTES,
        N_("length of one probe"),
        copy=AS_IS,
        form=Field(N_("Minutes of one probe"), "number"),
        default=N_("the policy's"),
    ),
    "never": Key(
        SOME_PATTERNS,
        N_("combinations that must not be planned"),
        copy=PATTERNS,
        form=Field(
            N_("Never together"), "patterns", N_("A row holds values that must not meet."), of="dimensions"
        ),
    ),
    "first": Key(
        list_of(wish(), one_alone=False),
        N_("wanted before the rest; the date may be left out"),
        copy=PATTERNS,
        form=Field(
            N_("Wanted before the rest"),
            "patterns",
            N_("With the day by which."),
            of="dimensions",
            args=(True,),
        ),
        to=lambda given: tuple(Wish(wanted, by) for wanted, by in given),
    ),
    "generalised_when": Key(
        criterion(of_target=True),
        N_(
            "how many values must have been *met* before the skill counts as generalised; "
            "under `with` also what must be among them, each by itself; with `untaught: "
            "yes` only what was met in combinations without any teaching counts. Counts, "
            "`with` and `untaught` that it leaves out are the policy's"
        ),
        copy=COUNTS,
        form=Field(N_("Generalised once met with so many"), "criterion", of="counted"),
        default=N_("the policy's"),
        lands=BY_HAND,
    ),
    "maintenance_days": Key(
        LADDER,
        N_(
            "days after `mastered_on`. A probe is due from its day until one is run or the next "
            "falls due. One on any day of that day's week answers it, but none on or before the "
            "day of the date before (or of `mastered_on`), and no plan holds it sooner. Of two "
            "dates in one week the first gives way to the second. One run before its day, while "
            "the date before still waits, is the late answer to that one too"
        ),
        copy=AS_IS,
        form=Field(N_("Maintenance, days after mastery"), "numbers", N_("Such as 7, 14, 28, 56.")),
        default=N_("the policy's"),
    ),
}
