"""The words that the terminal, the page and the sheets share: names, days, kinds, statuses, counts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from genplan.case import Case, Combination, Pattern, Target, Wish
from genplan.case.possible import kept_away
from genplan.case.second_adults import Beside
from genplan.case.targets import ADULT, BASE_DIMENSIONS, LOCATION, MATERIAL_SET
from genplan.case.week import Week
from genplan.language import N_, _, and_list, ngettext, said
from genplan.language.dates import day_short as day_short
from genplan.language.dates import day_words as day_words
from genplan.language.dates import long_date as long_date
from genplan.language.dates import moment_short as moment_short
from genplan.language.marked import Marked
from genplan.report.plain_characters import clock, one_line
from genplan.text.tuple_words import counted_tuples
from genplan.text.tuple_words import tuple_word as tuple_word

if TYPE_CHECKING:
    # nearly every command says names, and few have a plan
    from genplan.plan import Probe, ProbeKind, Sitting, TargetCoverage

SPOKEN_DIMENSION = "wording"
"""The extra dimension whose value is what the adult says, in place of the target's instruction."""

clean = one_line
"""What somebody wrote, as a part of a sentence."""


@dataclass(frozen=True, eq=False)
class StatusMark:
    """How a status is shown: a sign beside the word, and what it means. `style` is a class in style.css. There is one
    of each, so that none has to say its words to be told from another.

    The signs say what comes next and are no scale of more or less: done; back again after teaching; a probe is still
    to come."""

    sign: str
    style: str
    word: Marked = Marked()
    meaning: Marked = Marked()


PLANNED = StatusMark(
    "▸", "planned", N_("planned"), N_("a probe of this combination is in the plan of this week")
)
TO_TEACH = StatusMark(
    "»",
    "planned taught",
    N_("to teach"),
    N_("a teaching in this combination, no probe, is in the plan of this week"),
)
STATUS_MARKS: dict[str, StatusMark] = {
    "met": StatusMark("✓", "met", N_("met"), N_("the latest probe reached the pass mark")),
    "not met": StatusMark(
        "↺", "not-met", N_("not met"), N_("the latest probe did not reach the pass mark yet")
    ),
    "taught": StatusMark(
        "…", "taught", N_("taught"), N_("it was taught in this combination and not probed since")
    ),
    "untested": StatusMark(
        "·", "untested", N_("untested"), N_("nobody has probed it in this combination yet")
    ),
    "not possible": StatusMark(
        "–", "no", N_("not possible"), N_("a rule stands against it; the reasons are listed")
    ),
}

_KIND_WORDS: Mapping[str, str] = {
    "new": N_("new combination"),
    "retest": N_("again after teaching"),
    "maintenance": N_("maintenance: does it last?"),
    "teaching": N_("teaching"),
    "baseline": N_("baseline: before it is taught"),
}


def kind_words(kind: ProbeKind) -> str:
    """`again after teaching`: more than the word of a file says."""
    return said(_KIND_WORDS[kind])


@dataclass(frozen=True)
class Names:
    """What everybody and everything is called on one page. `private` pages are the family's own: they show
    the learner's name, all others the alias. An id that the case does not have is shown as it is."""

    case: Case
    private: bool = False

    def learner(self, learner_id: str) -> str:
        learner = self.case.learners.get(learner_id)
        if learner is None:
            # an id is often the name: where others read, it is cut as an alias that is not given is
            return clean(learner_id if self.private else f"{learner_id[:1].upper()}.")
        return clean(learner.name if self.private else learner.alias)

    def meeting(self, learner_id: str, adult_id: str) -> str:
        """`L. with Mum`."""
        return _("{learner} with {adult}", learner=self.learner(learner_id), adult=self.adult(adult_id))

    def target(self, target_id: str) -> str:
        target = self.case.targets.get(target_id)
        return clean(target.name if target else target_id)

    def value(self, dimension: str, value: str) -> str:
        """The name of one value of a dimension; values of an extra dimension are their own names."""
        known: Mapping[str, Collection[str]] = {
            ADULT: self.case.adults,
            LOCATION: self.case.locations,
            MATERIAL_SET: self.case.material_sets,
        }
        return clean(self.case.called(dimension, value) if value in known.get(dimension, {}) else value)

    def adult(self, adult_id: str) -> str:
        return self.value(ADULT, adult_id)

    def location(self, location_id: str) -> str:
        return self.value(LOCATION, location_id)

    def material_set(self, set_id: str) -> str:
        return self.value(MATERIAL_SET, set_id)

    def combination(self, target: Target, combination: Combination) -> str:
        """All values by name, in the order of the dimensions; no set where the skill has no objects."""
        values = dict(zip(target.dimension_names, combination, strict=True))
        if self.has_no_objects(target):
            del values[MATERIAL_SET]
        return self.pattern(values)

    def pattern(self, pattern: Pattern, joined: str = ", ") -> str:
        """The values by name, as the case has them in order."""
        return joined.join(self.value(name, value) for name, value in pattern.items())

    def extras(self, target: Target, combination: Combination) -> tuple[tuple[str, str], ...]:
        """The extra dimensions and their values."""
        pairs = tuple(zip(target.dimension_names, combination, strict=True))
        return tuple((clean(name), clean(value)) for name, value in pairs[len(BASE_DIMENSIONS) :])

    def used(self, probe: Probe) -> str:
        """The material set, and what of the extra dimensions: `Two jackets; wording: Zip it up`."""
        extras = self.extras(self.case.targets[probe.target], probe.combination)
        return "; ".join((*self.things_of(probe), *(f"{name}: {value}" for name, value in extras)))

    def target_and_used(self, probe: Probe) -> str:
        """The target, and with what where there is anything: `Zips up a jacket: Two jackets`."""
        return ": ".join(filter(None, (self.target(probe.target), self.used(probe))))

    def things_of(self, probe: Probe) -> tuple[str, ...]:
        """The material set; none where a skill without objects has a set of nothing and no other."""
        return self.things_in(self.case.targets[probe.target], probe.combination)

    def things_in(self, target: Target, combination: Combination) -> tuple[str, ...]:
        """The same of a combination."""
        if self.has_no_objects(target):
            return ()
        return (self.material_set(target.value(combination, MATERIAL_SET)),)

    def has_no_objects(self, target: Target) -> bool:
        """It has a set of nothing and no other: there is nothing of it to name, to count or to miss."""
        varied = target.values_of(MATERIAL_SET)
        return len(varied) == 1 and self.case.material_sets[varied[0]].is_nothing

    def sets_of(self, sitting: Sitting) -> tuple[str, ...]:
        """The material sets on the table, each once, in the order of the probes; none that the child is kept from, as
        may have been said only after the week was told."""
        return tuple(map(self.material_set, self._at_hand(sitting)))

    def comes_along(self, sitting: Sitting) -> tuple[str, ...]:
        """Those of them that travel with the child: the family sends them along, and nobody else is asked to bring
        them."""
        sets = self.case.material_sets
        return tuple(self.material_set(i) for i in self._at_hand(sitting) if sets[i].kept_at is None)

    def there_already(self, sitting: Sitting) -> tuple[str, ...]:
        """Those of them that stay at the place."""
        sets = self.case.material_sets
        return tuple(self.material_set(i) for i in self._at_hand(sitting) if sets[i].kept_at is not None)

    def _at_hand(self, sitting: Sitting) -> list[str]:
        used = dict.fromkeys(set_of(self.case, p) for p in sitting.probes)
        sets = self.case.material_sets
        return [i for i in used if sets[i].bring and not self._is_kept_away(sitting, i)]

    def with_what(self, sitting: Sitting, probe: Probe) -> str:
        """The material set of a probe, none where the skill has no objects; with a word where the child is kept from
        it, since it is not brought then."""
        called = "; ".join(self.things_of(probe))
        if not called or not self._is_kept_away(sitting, set_of(self.case, probe)):
            return called
        return _("{thing} (held back by a caution, not to be used)", thing=called)

    def _is_kept_away(self, sitting: Sitting, material_set: str) -> bool:
        child, day = self.case.learners[sitting.learner], sitting.start.date()
        return bool(kept_away(child, self.case.material_sets[material_set], day))

    def beside(self, sitting: Sitting) -> str:
        """Who sits beside and what for; empty if nobody does."""
        if not sitting.beside:
            return ""
        name = self.adult(sitting.beside)
        if sitting.beside_as is Beside.OBSERVER:
            return _("{name} observes and counts too", name=name)
        taught = and_list([f"'{self.target(t)}'" for t in self.taught_beside(sitting)])
        if sitting.beside_as is Beside.TEACHER and taught:
            return _("{name} sits beside and teaches {taught}", name=name, taught=taught)
        if sitting.beside_as is Beside.TEACHER:
            return _("{name} sits beside and teaches", name=name)
        new = _(
            "{adult} has not worked with {learner} yet",
            adult=self.adult(sitting.adult),
            learner=self.learner(sitting.learner),
        )
        if taught:
            return _("{name} sits beside and teaches {taught}; {new}", name=name, taught=taught, new=new)
        return _("{name} sits beside: {new}", name=name, new=new)

    def taught_beside(self, sitting: Sitting) -> tuple[str, ...]:
        """The targets, by id, that the second adult teaches since the adult of the sitting may not."""
        adult, beside = (self.case.adults.get(a) for a in (sitting.adult, sitting.beside))
        if adult is None or beside is None or sitting.beside_as is Beside.OBSERVER:
            return ()
        taught = dict.fromkeys(p.target for p in sitting.probes if not p.kind.is_probe)
        return tuple(t for t in taught if beside.may_teach(t) and not adult.may_teach(t))

    def say(self, probe: Probe) -> str:
        """What the adult says, or does: the value of the dimension 'wording', or else the target's instruction."""
        spoken = self._wording(probe)
        return clean(self.case.targets[probe.target].instruction) if spoken is None else spoken

    def is_spoken(self, probe: Probe) -> bool:
        """Whether `say` is speech."""
        return self._wording(probe) is not None or self.case.targets[probe.target].spoken

    def cue(self, probe: Probe) -> str:
        """`Say “Zip it up”` or `Do: hold it up and wait`; empty where the case has nothing."""
        words = self.say(probe)
        if not words:
            return ""
        return _("Say “{words}”", words=words) if self.is_spoken(probe) else _("Do: {words}", words=words)

    def _wording(self, probe: Probe) -> str | None:
        target = self.case.targets[probe.target]
        return dict(self.extras(target, probe.combination)).get(SPOKEN_DIMENSION)


def set_of(case: Case, probe: Probe) -> str:
    """The id of the material set that a probe uses."""
    return case.targets[probe.target].value(probe.combination, MATERIAL_SET)


def probe_number(sitting: Sitting, index: int) -> str:
    """The short number of a probe on a sheet: the sitting's id and a running number from 1."""
    return f"{sitting.id}.{index + 1}"


def week_words(week: Week) -> dict[str, object]:
    """What a page of a week says of it."""
    first, last = day_words(week.monday), long_date(week.sunday)
    return {"week": str(week), "number": week.number, "first": first, "last": last}


def amount_words(sittings: Sequence[Sitting]) -> str:
    """`2 sittings with 3 probes and 1 teaching`."""
    return _(
        "{sittings} with {probes}",
        sittings=ngettext("{n} sitting", "{n} sittings", len(sittings)),
        probes=probes_words([p for s in sittings for p in s.probes]),
    )


def probes_words(probes: Sequence[Probe]) -> str:
    """`3 probes`, `1 teaching`, `3 probes and 1 teaching`."""
    tests = sum(p.kind.is_probe for p in probes)
    taught = len(probes) - tests
    parts = [ngettext("{n} probe", "{n} probes", tests)] if tests or not taught else []
    return and_list([*parts, *([ngettext("{n} teaching", "{n} teachings", taught)] if taught else [])])


def measure_words(target: Target, probe: Probe) -> str:
    """How many trials, and how many of them meet a probe."""
    trials = ngettext("{n} trial", "{n} trials", probe.trials)
    if not probe.kind.is_probe:
        return lesson_words(target, probe)
    return _(
        "{trials}, met with {needed} correct", trials=trials, needed=target.pass_mark.needed(probe.trials)
    )


HOW_IS_NOT_SAID = N_(
    "the case does not say how it is taught: ask the practitioner in charge, or whoever else advises you, before you "
    "begin"
)


def lesson_words(target: Target, probe: Probe) -> str:
    """How long a teaching is, and where it is said how it is taught; without a full stop."""
    how = _("how it is taught stands on the sheet") if target.how_taught.strip() else said(HOW_IS_NOT_SAID)
    return _(
        "A lesson of {trials}, not a test; {how}",
        trials=ngettext("{n} trial", "{n} trials", probe.trials),
        how=how,
    )


def hours(sitting: Sitting) -> str:
    return _("{start} to {end}", start=clock(sitting.start), end=clock(sitting.end))


def meeting_words(names: Names, sitting: Sitting) -> str:
    """`16:00 to 16:15  L. with Mum, Home`."""
    who = names.meeting(sitting.learner, sitting.adult)
    return f"{hours(sitting)}  {who}, {names.location(sitting.location)}"


def begun_words(sitting: Sitting, now: datetime) -> str:
    """What stands behind a sitting that began before the aware moment `now`."""
    return _(" (over)") if sitting.end <= now else _(" (begun already)")


def coverage_sentences(target: Target, cover: TargetCoverage, *, begun: bool = False) -> tuple[str, str, str]:
    """Three sentences: tried and met before, new this week, still open and the probes that would finish it; the first
    two are empty where nothing is possible. `begun`:
    the plan was made in its week, so what is written down of that counts as tried before."""
    if not cover.possible:
        return "", "", _still_open(cover)
    possible = counted_tuples(target, cover.possible)
    figures = three_figures(cover.tested_before, cover.met_before, cover.met_untaught_before, possible)
    figures = with_only_taught(figures, cover.shown_before - cover.tested_before)
    before = (
        _("So far {figures}.", figures=figures)
        if begun
        else _("Before this week {figures}.", figures=figures)
    )
    adds = _("This week adds {tuples}.", tuples=counted_tuples(target, cover.new))
    return before, adds, _still_open(cover)


def three_figures(tried: int, met: int, met_untaught: int, possible: str) -> str:
    """`12 of 33 pairs tried, 9 met, 7 met without teaching`: always these three, each a part of the one before.
    `possible` are the tuples with their number."""
    return _(
        "{tried} of {tuples} tried, {met} met, {met_untaught} met without teaching",
        tried=tried,
        tuples=possible,
        met=met,
        met_untaught=met_untaught,
    )


def with_only_taught(figures: str, only: int) -> str:
    """With what is not tried and not open either: else what is tried and what is open would not make up the whole."""
    return _("{figures}; {only} taught and not tried", figures=figures, only=only) if only else figures


def _still_open(cover: TargetCoverage) -> str:
    if not cover.possible:
        return _("Nothing of it is possible as the case stands, so nothing of it is planned.")
    if not cover.open:
        return _("Nothing is left open after it.")
    least, most = cover.fewest_proven, cover.fewest_further
    left = ngettext("{n} is still open after it", "{n} are still open after it", cover.open)
    if least >= most:
        further = ngettext("{n} further probe", "{n} further probes", most)
        return ngettext(
            "{left}: {further} can finish it, no fewer.",
            "{left}: {further} can finish them, no fewer.",
            cover.open,
            left=left,
            further=further,
        )
    needed = ngettext("at least {n} is needed", "at least {n} are needed", least)
    return ngettext(
        "{left}: {most} further probes can finish it, {needed}.",
        "{left}: {most} further probes can finish them, {needed}.",
        cover.open,
        left=left,
        most=most,
        needed=needed,
    )


def wish_words(names: Names, wish: Wish, today: date, written: Callable[[date], str]) -> str:
    """What is wanted before the rest, with its date."""
    by = _(", by {by}", by=written(wish.by)) if wish.by else ""
    over = _("; that date is over") if wish.by and wish.by < today else ""
    return _(
        "Wanted before the rest: {pattern}{by}{over}", pattern=names.pattern(wish.pattern), by=by, over=over
    )
