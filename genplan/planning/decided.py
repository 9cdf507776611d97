"""What whoever plans the weeks decided: which of the wishes for a week are kept, before anything else is planned.

A wish to hold, move or add is a sitting that stays as it is, like one that has begun; a wish that something is not to
be bars hours or keeps two things apart. Of these the most are kept that can be kept together under all rules; which, if
as many can be kept in several ways, the order of `in_order` decides. What would rather be is left to the search.

Why each set is judged on plain seats (own derivation): all rules are upper limits or ask for gaps, so what can be held
together can be held without some of it; and a week without any other sitting keeps them too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property

from genplan.case import Case, Week
from genplan.case.second_adults import Beside
from genplan.case.sitting_ids import SittingId, mark_of
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Windows, merge, subtract
from genplan.case.wishes_of_planners import Apart, PlannersWish, Rather, Thing, WishKind, sitting_id
from genplan.findings import nearest
from genplan.keeping.wished_moves import arrived
from genplan.plan import Sitting, Unkept, WishAnswer
from genplan.planning.assemble import seat_of
from genplan.planning.figures import is_held
from genplan.planning.kept_together import Together
from genplan.planning.most_kept import most_kept
from genplan.planning.needs import TargetNeed
from genplan.planning.observer_options import obstacle_to
from genplan.planning.openings import Hours
from genplan.planning.sittings_by_hand import ByHand
from genplan.planning.told_anew import as_run
from genplan.planning.wish_claims import Claim, Gone
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Decided:
    """What is settled before the search.

    - `answers`: to each wish for the week, in their order; of `rather` none yet is kept
    - `seats`: sittings that stay as they are, each with the id that it was told with, or none
    - `kept_by`: the sitting by which a wish is kept
    - `barred`: learner and adult -> minutes of the week in which no sitting of theirs is wished
    - `apart`: what is kept apart
    - `wanted`: what each wish for another adult asks for
    - `rather`: what of it is still to be looked for"""

    answers: tuple[WishAnswer, ...] = ()
    seats: Mapping[PlacedSitting, str] = field(default_factory=dict)
    kept_by: Mapping[PlannersWish, PlacedSitting] = field(default_factory=dict)
    barred: Mapping[tuple[str, str], Windows] = field(default_factory=dict)
    apart: tuple[Apart, ...] = ()
    wanted: Mapping[PlannersWish, Rather] = field(default_factory=dict)
    rather: tuple[Rather, ...] = ()


@dataclass(frozen=True, kw_only=True)
class WishesOfWeek:
    """The wishes for one week and what they are judged by.

    - `case`, `week`, `now`: as they are in that week
    - `free`: everybody's hours before anything is planned
    - `needs`: what each target is owed
    - `begun`: sittings that have begun
    - `told`: the sittings that people were told of, begun ones among them"""

    case: Case
    week: Week
    now: datetime
    free: Hours
    needs: Sequence[TargetNeed]
    begun: Sequence[PlacedSitting]
    told: Sequence[Sitting]

    def decided(self) -> Decided:
        """Which of the wishes are kept, and what that settles."""
        wishes = [w for w in self.case.wishes if w.holds_in(self.week)]
        if not wishes:
            return Decided()
        firm = [self._claim(w) for w in wishes if w.kind is not WishKind.RATHER]
        able = [c for c in firm if c.why is None]
        alone = [c for c in able if not self._together.against([c])]
        chosen, all_tried = most_kept(alone, lambda claims: not self._together.against(claims))
        proven = all_tried and self._together.all_tried
        seats = self._as_told(self._together.seats_of(chosen))
        answers = [self._answer(c, able, alone, chosen, proven) for c in firm]
        asked = {w: self._rather(w) for w in wishes if w.kind is WishKind.RATHER}
        held = (*self.begun, *seats)
        for wish, rather in asked.items():
            answers.append(WishAnswer(wish=wish, kept=is_held(rather, held)))
        return Decided(
            answers=tuple(answers),
            seats={seat: max(c.told for c in several) for seat, several in seats.items()},
            kept_by={c.wish: seat for seat, several in seats.items() for c in several},
            barred=joined((c.gone.whom, c.gone.hours) for c in chosen if c.gone),
            apart=tuple(sorted({c.apart for c in chosen if c.apart})),
            wanted=asked,
            rather=tuple(r for r in asked.values() if not any(is_held(r, [s]) for s in held)),
        )

    # what each wish asks for

    def _claim(self, wish: PlannersWish) -> Claim:
        match wish.kind:
            case WishKind.ADD:
                return self._add(wish)
            case WishKind.APART:
                return Claim(wish, apart=self._apart(wish))
            case WishKind.NOT:
                return self._not(wish)
        return self._of_a_sitting(wish)

    def _of_a_sitting(self, wish: PlannersWish) -> Claim:
        """Of `hold` and `move`."""
        if there := self._arrived.get(wish):
            return self._hold(wish, there)
        named, told = self._named(wish), self._told_as(wish)
        if told is None:
            again = self._told_at(wish, named) if wish.kind is WishKind.MOVE else None
            if again is None:
                return self._not_told(wish)
            return self._hold(wish, again)  # it was moved before, and told so
        if wish.kind is WishKind.HOLD:
            return self._hold(wish, told)
        if told.start < self.now:
            return Claim(wish, why=Unkept.BEGUN)
        assert wish.start is not None
        moved = self._by_hand.moved(
            told, wish.adult or told.adult, wish.location or told.location, self.week.minute_of(wish.start)
        )
        if moved is None:
            limits = tuple(
                self._by_hand.why_nothing(told, wish.adult or told.adult, wish.location or told.location)
            )
            return Claim(wish, why=Unkept.RULES, limits=limits)
        return Claim(wish, moved=moved, gone=self._gone(wish, told))

    def _hold(self, wish: PlannersWish, told: Sitting) -> Claim:
        if told.start < self.now:
            return Claim(wish, told=told.id)
        seat, missing = self._by_hand.as_told(told)
        if missing:
            return Claim(wish, why=Unkept.RULES, limits=missing)
        return Claim(wish, seat=seat, told=told.id)

    def _not_told(self, wish: PlannersWish) -> Claim:
        """Of what is over nobody can say that it was never told: one that was not run is not among the told."""
        midnight, minute = MINUTES_PER_DAY * (self._named(wish).weekday + 1), self.week.minute_of
        last = max(minute(wish.at) if wish.at else midnight, minute(wish.start) if wish.start else 0)
        if last < minute(self.now):
            return Claim(wish, why=Unkept.RULES, limits=(Limit(Kind.PAST),))
        return Claim(wish, why=Unkept.UNKNOWN)

    def _not(self, wish: PlannersWish) -> Claim:
        told = self._told_as(wish)
        if told in self._arrived.values():
            return Claim(wish, gone=replace(self._gone(wish, None), start=None))
        if told and told.start < self.now:
            return Claim(wish, why=Unkept.BEGUN)
        return Claim(wish, gone=self._gone(wish, told))

    def _add(self, wish: PlannersWish) -> Claim:
        assert wish.start is not None
        if (there := self._arrived.get(wish)) and there.start < self.now:
            return Claim(wish, told=there.id)
        start = self.week.minute_of(wish.start)
        seat, why = self._by_hand.added(wish, start)
        if seat is None:
            return Claim(wish, why=Unkept.RULES, limits=why)
        return Claim(wish, seat=seat)

    def _apart(self, wish: PlannersWish) -> Apart:
        one, other = (self._thing(text) for text in wish.two)
        days = tuple(n for n, day in enumerate(self.week.days) if wish.covers(day))
        first, second = sorted((one, other))
        # what has begun together is over: the wish holds for the other days, if there are any
        still = tuple(n for n in days if not self._by_hand.began_together(Apart(first, second, (n,))))
        return Apart(first, second, still or days)

    def _broken_on(self, claim: Claim) -> tuple[date, ...]:
        """The days of a wish on which what is to be apart has begun together already."""
        if claim.apart is None:
            return ()
        covered = ((n, day) for n, day in enumerate(self.week.days) if claim.wish.covers(day))
        return tuple(day for n, day in covered if n not in claim.apart.days)

    def _thing(self, text: str) -> Thing:
        named = sitting_id(text)
        if named is None:
            return Thing(target=text)
        return Thing(adult=named.adult, learner=self._learner(named))

    def _rather(self, wish: PlannersWish) -> Rather:
        assert wish.start is not None
        assert wish.end is not None
        start, end = (self.week.minute_of(m) for m in (wish.start, wish.end))
        return Rather(wish.learner, wish.adult, max(0, start), min(7 * MINUTES_PER_DAY, end))

    @cached_property
    def _together(self) -> Together:
        return Together(self._by_hand)

    @cached_property
    def _by_hand(self) -> ByHand:
        return ByHand(
            case=self.case,
            week=self.week,
            free=self.free,
            needs=self.needs,
            begun=self.begun,
            now_minute=self.week.minute_of(self.now),
        )

    # which sitting an id means

    def _named(self, wish: PlannersWish) -> SittingId:
        return SittingId.parse(wish.sitting)

    def _learner(self, named: SittingId) -> str:
        """The learner whose sign is in the id: of several with one sign who was told that sitting, or else one of that
        day and adult."""
        marked = [i for i in self.case.learners if mark_of(i) == named.mark]
        told = [s for s in self.told if s.learner in marked and s.id.startswith(named.stem)]
        told.sort(key=lambda s: s.id != named.text)
        return told[0].learner if told else marked[0]

    def _family(self, named: SittingId) -> list[Sitting]:
        """The told sittings of the day, adult and learner of an id."""
        learner, day = self._learner(named), self.week.days[named.weekday]
        return [s for s in self.told if (s.learner, s.adult, s.start.date()) == (learner, named.adult, day)]

    def _told_as(self, wish: PlannersWish) -> Sitting | None:
        """The told sitting that a wish means: by when it was to begin, if that is said, or else by its id."""
        family = self._family(self._named(wish))
        if wish.at is not None:
            return next((s for s in family if s.start.replace(tzinfo=None) == wish.at), None)
        return next((s for s in family if s.id == wish.sitting), None)

    @cached_property
    def _arrived(self) -> dict[PlannersWish, Sitting]:
        """What people were told of as moved or put in: in the place of another it is not taken for that."""
        return arrived((w for w in self.case.wishes if w.holds_in(self.week)), self.told)

    def _told_at(self, wish: PlannersWish, named: SittingId) -> Sitting | None:
        """What was told of a sitting that was moved, once the week is told with it."""
        learner, adult = self._learner(named), wish.adult or named.adult
        return next(
            (
                s
                for s in self.told
                if (s.learner, s.adult, s.start.replace(tzinfo=None)) == (learner, adult, wish.start)
                and wish.location in ("", s.location)
            ),
            None,
        )

    def _gone(self, wish: PlannersWish, gone: Sitting | None) -> Gone:
        """The day of the sitting, but for what else the learner was told of it with that adult."""
        named = self._named(wish)
        others = [s for s in self._family(named) if s is not gone]
        day = day_without(self.week, named.weekday, others)
        began = gone.start if gone else wish.at
        return Gone(
            (self._learner(named), named.adult),
            day,
            self.week.minute_of(began) if began else None,
            gone.location if gone else "",
        )

    # what can be kept together

    def _as_told(self, seats: Mapping[PlacedSitting, list[Claim]]) -> dict[PlacedSitting, list[Claim]]:
        """The same; what is as people were told of it is so in every word, with its observer where that one can
        come."""
        told = {as_run(t): t for t in (seat_of(self.case, self.week, s) for s in self.told)}
        found: dict[PlacedSitting, list[Claim]] = {}
        left = list(seats)
        for seat, claims in seats.items():
            left.remove(seat)
            before, others = told.get(as_run(seat), seat), (*self.begun, *found, *left)
            stays = before.beside_as is not Beside.OBSERVER or self._can_observe(before.beside, seat, others)
            found[before if stays else seat] = claims
        return found

    def _can_observe(self, adult: str, seat: PlacedSitting, others: Sequence[PlacedSitting]) -> bool:
        asked = bool(self.case.policy.observed_share) and bool(seat.tests)
        return asked and obstacle_to(self.case, self.free, seat, adult, others) is None

    def _answer(
        self,
        claim: Claim,
        able: Collection[Claim],
        alone: Collection[Claim],
        chosen: Sequence[Claim],
        proven: bool,
    ) -> WishAnswer:
        wish = claim.wish
        if claim in chosen:
            return WishAnswer(wish=wish, kept=True, sitting=claim.told, broken_on=self._broken_on(claim))
        if claim not in able:
            near = self._nearest(wish) if claim.why is Unkept.UNKNOWN else ""
            return WishAnswer(wish=wish, kept=False, why=claim.why, limits=claim.limits, nearest=near)
        if claim not in alone:
            return WishAnswer(
                wish=wish, kept=False, why=Unkept.RULES, limits=self._together.against([claim])[wish]
            )
        both = [c.wish for c in chosen if self._together.against([c, claim])]
        limits = self._together.against([*chosen, claim]).get(wish, ())
        return WishAnswer(
            wish=wish, kept=False, why=Unkept.WISHES, limits=limits, against=tuple(both), proven=proven
        )

    def _nearest(self, wish: PlannersWish) -> str:
        return nearest(wish.sitting, [s.id for s in self.told if s.id != wish.sitting])


def day_without(week: Week, weekday: int, others: Iterable[Sitting]) -> Windows:
    """The minutes of a day of the week but for those of the others."""
    midnight = weekday * MINUTES_PER_DAY
    taken = [(week.minute_of(s.start), week.minute_of(s.end)) for s in others]
    return subtract(merge([(midnight, midnight + MINUTES_PER_DAY)]), taken)


def joined(gone: Iterable[tuple[tuple[str, str], Windows]]) -> dict[tuple[str, str], Windows]:
    """Learner and adult -> all minutes of the week in which no sitting of theirs is to be."""
    found: dict[tuple[str, str], list[tuple[int, int]]] = {}
    for whom, hours in gone:
        found.setdefault(whom, []).extend(hours)
    return {whom: merge(parts) for whom, parts in sorted(found.items())}
