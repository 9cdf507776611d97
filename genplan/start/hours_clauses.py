"""Which hours belong to which days, clause by clause: `mon and wed 3-5pm, the same on thu, sat 10-12`."""

from __future__ import annotations

from dataclasses import dataclass, field

from genplan.case import Window
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.language import N_, _, and_list, said
from genplan.language.dates import day_name

HOURS_EXAMPLE = N_("mon-fri 3-5pm, sat 10:00-12:00")
APART = N_("Whose hours are they? Write each day with its own, or ';' where a list of days ends.")


def such_as() -> str:
    return _("Such as {example}.", example=said(HOURS_EXAMPLE))


@dataclass
class Clauses:
    """Takes days, hours and 'the same' in the order in which they were typed."""

    days: list[int] = field(default_factory=list)
    """Those that the next hours belong to."""
    hours: list[Window] = field(default_factory=list)
    """What was said for these days; as soon as there is something, another day begins a new clause."""
    found: dict[int, list[Window]] = field(default_factory=dict)
    like: Windows = ()
    """The hours that 'the same' stands for."""
    lists: list[list[int]] | None = None
    """The days behind 'the same on', parted at the commas; None where no such list is open."""
    asks_source: bool = False
    """'thu the same' or 'as' was said: the next day is the one whose hours are taken."""
    is_copy: bool = False
    left_out: list[int] | None = None
    """The days behind 'except'; None where nothing was left out of this clause."""

    def take_days(self, numbers: list[int]) -> None:
        if self.asks_source:
            self._take_source(numbers)
        elif self.left_out is not None and (not self.left_out or set(numbers) <= set(self.days)):
            self._leave_out(numbers)
        elif self.lists is not None:
            self.lists[-1] += numbers
        elif self.hours:
            self._begin(numbers)
        else:
            self.days += numbers

    def take_hours(self, window: Window, typed: str) -> None:
        self._check_source()
        if self.left_out is not None:
            self._check_left_out()
            if self.hours:
                named = and_list([day_name(number) for number in self.left_out])
                raise InvalidValue(
                    _("'{typed}' behind 'except {named}'", typed=typed, named=named), "", said(APART)
                )
            self.left_out = None
        if self.lists is not None:
            self._own_days(typed)
        if not self.days:
            raise InvalidValue(
                _("'{typed}' without a day", typed=typed),
                "",
                _("Which days? Such as {example}.", example=said(HOURS_EXAMPLE)),
            )
        if self.is_copy:
            raise InvalidValue(_("'{typed}' behind 'the same' without a day", typed=typed), "", said(APART))
        self.hours.append(window)
        for number in self.days:
            self.found.setdefault(number, []).append(window)

    def except_days(self) -> None:
        """`mon-fri 3-5pm except wed`, `mon-fri except wed 3-5pm`; `wed not` takes it from all that was said before."""
        self._check_source()
        self._end_list()
        if not self.days:
            raise InvalidValue(_("'except' before any days"), "", _("Such as mon-fri 3-5pm, except wed."))
        self.left_out = self.left_out or []

    def _leave_out(self, numbers: list[int]) -> None:
        if missing := [number for number in numbers if number not in self.days]:
            raise InvalidValue(
                _("'except {day}', which is none of the days before it", day=day_name(missing[0])),
                "",
                _("Such as mon-fri 3-5pm, except wed."),
            )
        self.left_out = [*(self.left_out or []), *numbers]
        self._take_out(numbers, self.hours)
        self.days = [number for number in self.days if number not in numbers]

    def _take_out(self, numbers: list[int], hours: list[Window]) -> None:
        for number in numbers:
            self.found[number] = [w for w in self.found.get(number, ()) if w not in hours]

    def _check_left_out(self) -> None:
        """With no day behind it 'except' is about the days before it: `wed not`."""
        if self.left_out == []:
            if self.hours or not any(self.found.get(number) for number in self.days):
                raise InvalidValue(_("'except' without a day"), "", _("Such as mon-fri 3-5pm, except wed."))
            for number in self.days:
                self.found[number] = []
            self.days, self.left_out = [], None

    def _begin(self, numbers: list[int]) -> None:
        self.days, self.hours, self.is_copy, self.left_out = list(numbers), [], False, None

    def comma(self) -> None:
        self._check_source()
        if self.left_out == [] and not self.hours:  # 'except,' is about the days before it
            self._check_left_out()
        if self.lists is not None and self.lists[-1]:
            self.lists.append([])

    def semicolon(self) -> None:
        self._check_source()
        self._check_left_out()
        self._end_list()

    def closed(self) -> None:
        """`mon closed`: these days have no hours."""
        self._check_source()
        if not self.days or self.hours:
            raise InvalidValue(_("'closed' without a day"), "", _("Such as mon-fri 3-5pm, sat closed."))
        for number in self.days:
            self.found.setdefault(number, [])
        self.days = []

    def same(self) -> None:
        """`the same on thu`; or `thu the same`, which is to go on with `as tue`."""
        self._check_source()
        self._check_left_out()
        if self.lists is not None and self.lists[-1]:
            self._own_days("the same")
        self._end_list()
        if self.days and not self.hours:
            self.asks_source = True
            return
        if not self.days:
            raise InvalidValue(_("'the same' before any hours"), "", such_as())
        if any(merge(self.found[number]) != merge(self.hours) for number in self.days):
            named = and_list([day_name(number) for number in self.days])
            raise InvalidValue(
                _("'the same' behind hours of {named} in several places", named=named),
                "",
                _("Write the hours once more."),
            )
        self.like, self.lists = merge(self.hours), [[]]

    def as_day(self) -> None:
        if self.lists is not None and any(self.lists):
            self._own_days("as")
        self.asks_source = True

    def end(self) -> None:
        self.semicolon()
        if self.days and not self.hours:
            raise InvalidValue(_("no hours for {day}", day=day_name(self.days[-1])), "", such_as())

    def _take_source(self, numbers: list[int]) -> None:
        """`thu same as tue`, `the same as tue on thu`."""
        self.asks_source = False
        hours = {merge(self.found.get(number, ())) for number in numbers}
        if len(hours) > 1 or () in hours:
            found = _("'the same as {day}' before its hours", day=day_name(numbers[-1]))
            raise InvalidValue(found, "", _("Name one day, and its hours first."))
        self.like = hours.pop()
        if self.lists is None:
            self._copy(self.days)

    def _own_days(self, typed: str) -> None:
        """What was behind the comma is no part of the list: it has hours of its own. With no comma, or several, it
        cannot be told where the list ends."""
        lists = self.lists or []
        if len(lists) != 2 or not lists[1]:
            named = ", ".join(day_name(number) for days in lists for number in days)
            raise InvalidValue(
                _("'{typed}' behind 'the same on {named}'", typed=typed, named=named), "", said(APART)
            )
        own = lists.pop()
        self._end_list()
        self._begin(own)

    def _end_list(self) -> None:
        if self.lists is None:
            return
        days = [number for numbers in self.lists for number in numbers]
        self.lists = None
        if not days:
            raise InvalidValue(_("'the same' without a day"), "", _("Such as tue 3-5pm, the same on thu."))
        self._copy(days)

    def _copy(self, days: list[int]) -> None:
        for number in days:
            if merge(self.found.get(number, ())) not in ((), self.like):
                raise InvalidValue(
                    _("'the same' on {day}, which has other hours", day=day_name(number)),
                    "",
                    _("Write its hours once."),
                )
            self.found[number] = list(self.like)
        self.days, self.hours, self.is_copy = days, list(self.like), True

    def _check_source(self) -> None:
        if self.asks_source:
            raise InvalidValue(
                _("'the same' without the day it is like"), "", _("Such as thu the same as tue.")
            )
