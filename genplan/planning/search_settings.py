"""How far the search goes: the numbers of the planner that were found by trying and are no rule, in one value. The
effort that each objective is worth stands in its own row (`solver/objectives.py`).

None may depend on the machine or the clock: the same case has to give the same plan everywhere. Work is the solver's
deterministic work, about a second of one core each; an effort is the part of the policy's `work_per_stage` that a stage
may take. 'Measured' is on 2 cores with OR-tools 9.15 and one worker; what is not called measured is a choice of this
program, made by trying it on the examples and the benchmark.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class SearchSettings:
    """One line a field: its unit, what it is, and why."""

    # the solver
    seed: int = 20261130  # any number, always the same one
    hinted_work: float = (
        60.0  # work to fill in what follows from a whole answer: takes next to none; a limit has to be
    )
    day_work: float = (
        1.0  # work to find the most that one day holds; where it runs out, the bound by then is the cut
    )
    observer_work: float = (
        2.0  # work for each aim of the observers; measured: sixty learners take a small part of it
    )

    # what one search looks at
    most_probes: int = (
        60_000  # variables of probes up to which an opening has all sittings any week holds; then `cut`
    )
    most_pairs: int = (
        400_000  # the same of pairs of sittings of a learner and day, each of which may need its way
    )
    prune_above: int = (
        600  # new choices of a target above which some are left out (eleven two-valued dimensions: 2048)
    )
    kept_a_meeting: int = 12  # new choices then kept of one adult and location, beside those of the design
    look_ahead_weeks: int = 8  # weeks after this one in which the room for a wish is counted

    # smallest designs
    design_work: float = 4.0  # work for one target's design; measured: up to 6x5x4x3 values take less
    figure_work: float = (
        0.5  # the same where no decision needs it, but a person reads how many probes are still needed
    )
    many_tuples: int = 6  # tuples a probe shows from which the shortest way counts: pairs of four dimensions

    # a caseload in turns
    joint_variables: int = (
        2700  # variables up to which a caseload is one problem; measured: of more, comfort is not proven
    )
    round_jobs: int = (
        4  # jobs solved against the same seats; not the number of cores, on which no plan may depend
    )
    alone_effort: float = (
        0.1  # effort of each learner alone; measured: with more only what comes after new tuples is better
    )
    due_at_once: int = 60  # learners whose due probes are planned at once; measured: sixty are soon solved
    due_effort: float = 0.1  # effort of that; measured: with half of it 125 for 129 due probes of sixty
    turn_effort: float = (
        0.1  # effort of each learner on what the others left, and of a pair in which somebody has nothing
    )
    highest_price: int = (
        10  # tenths: the price of a minute that every learner but one would find taken comes near it
    )
    finish_effort: float = (
        0.4  # effort of the comfort of each learner: of comfort the whole is not proven anyway
    )
    by_itself_effort: float = (
        0.01  # effort of bounding one objective with no other before it; measured: 0.05 gives the same bounds
    )

    # what is scarce
    scarce_from: float = (
        0.5  # part of the minutes asked for; measured: the fullest two of 300 learners gave two thirds
    )
    tolls_tried: int = (
        2  # multipliers for which the Lagrangian bound is worked out; measured: 13040 became 12966
    )
    toll_raised: float = 1.5  # factor on a toll at which more sittings are asked for than there are
    toll_lowered: float = 2 / 3  # factor on a toll at which there are enough

    # what people were told
    opened_up_at_once: int = 4  # learners who are short of what is due and looked at in one search for it
    opened_up_rivals: int = (
        4  # then those who are most in the way of one who is still short; two first found nothing more
    )
    won_back_variables: int = (
        6000  # variables, of all together, up to which what was lost is won back at once
    )

    # bettering what the turns gave
    give_way_at_most: int = (
        3  # learners who may have to give way for one; with more the week is taken as it is
    )
    give_way_effort: float = 0.05  # effort of each search for one who gives way
    join_at_most: int = (
        6  # learners with nothing of a scarce day who are planned with those who have: who miss most
    )
    day_passes: int = 2  # times that all scarce days are shared out; fewer where one gains nothing
    day_rivals: int = 3  # learners in the way of one who falls short who take part in planning a day of it
    day_effort: float = 0.05  # effort of sharing out one day
    pair_effort: float = (
        0.03  # effort of a pair: it is better soon, or hardly ever; that it cannot be needs no proof
    )
    fruitless_rounds: int = (
        4  # rounds of an operator without a better week after which what promises less is left
    )
    give_way_rounds: int = 1  # the same of giving way; measured: hardly a move of it is kept
    pair_rounds: int = 2  # the same of pairs
    won_back_rounds: int = 1  # the same of pairs where nothing but what was lost is won back

    # the weeks ahead of a forecast
    ahead_effort: float = 0.15  # effort of each learner's search: no comfort and no proof is needed

    # a term
    term_effort: float = (
        0.1  # effort of each aim after the dates, and of each date alone: early enough is as good as earliest
    )

    # the budget
    kept_share: float = 0.3  # share of the seconds left that the search leaves to what comes after it
    kept_seconds: float = 60.0  # the same in seconds, where that is less
    interrupted_seconds: float = 6.0  # left after an interrupt, for probes that fit and for reasons
    inserting_share: float = (
        0.5  # share of the seconds left for inserting probes; what comes after it needs the rest
    )

    times_an_even_share: float = (
        3.0  # of the seconds left, for the first of several weeks: most need less than theirs
    )
    first_share_most: float = 0.5  # share of the seconds left that the first of several may take in any case
    reasons_share: float = (
        0.5  # share of the seconds left for the reasons in `why`; the rest is for what would help
    )

    # reasons, and what would help
    needs_at_once: int = 25  # targets whose reasons are one job at the least
    reasons_jobs: int = 8  # jobs at the most, since each is handed the whole week and its case
    asked_at_most: int = (
        60  # things planned again with for a reason that the data do not give; others keep theirs
    )
    inclusion_effort: float = 0.2  # effort of planning a week again with one of them
    hope_effort: float = 0.04  # effort of planning a week again with many changes at once
    gain_effort: float = 0.1  # effort of planning a week again with a change
    many_learners: int = (
        5  # learners of whom `why` is brief: nobody waits for minutes to hear what comes first
    )
    brief_asked: int = (
        8  # of these what is then planned again with for a reason; measured: most of a second each
    )
    brief_hopes: int = 12  # searches with many changes at once, and then with parts of changes
    brief_tries: int = 32  # searches with one change, each for one learner
    parts_at_most: int = 40  # parts of changes tried one by one; how many were left untried is said


SETTINGS = SearchSettings()
