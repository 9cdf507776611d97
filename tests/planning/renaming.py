"""A case, its log and its kept sittings with other ids; what people read stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from every_week import Given, Tries

from genplan.case import Combination, Pattern, Target


@dataclass(frozen=True)
class Renaming:
    """`ids` maps every old id to its new one, for people, places, sets and targets together."""

    ids: Mapping[str, str]

    def of(self, given: Given) -> Given:
        case = given.case
        renamed = replace(
            case,
            learners=self._sorted(case.learners.values()),
            adults=self._sorted(case.adults.values()),
            locations=self._sorted(case.locations.values()),
            material_sets=self._sorted(case.material_sets.values()),
            targets=self._sorted(self._target(t) for t in case.targets.values()),
        )
        rows = [
            replace(r, target=self.ids[r.target], combination=self._values(r.combination))
            for r in given.log.results
        ]
        kept = tuple(
            replace(
                s,
                learner=self.ids[s.learner],
                adult=self.ids[s.adult],
                location=self.ids[s.location],
                probes=tuple(
                    replace(p, target=self.ids[p.target], combination=self._values(p.combination))
                    for p in s.probes
                ),
            )
            for s in given.kept
        )
        return replace(given, case=renamed, log=type(given.log).of(rows), kept=kept)

    def of_week(self, week: Tries) -> Tries:
        return tuple(
            sorted(
                replace(
                    s,
                    learner=self.ids[s.learner],
                    adult=self.ids[s.adult],
                    location=self.ids[s.location],
                    probes=tuple(sorted((self.ids[t], self._values(c), kind) for t, c, kind in s.probes)),
                )
                for s in week
            )
        )

    def _sorted(self, things: Iterable[Any]) -> dict[str, Any]:
        """By the new ids, as a case holds them."""
        renamed = [replace(x, id=self.ids[x.id]) for x in things]
        return {x.id: x for x in sorted(renamed, key=lambda x: x.id)}

    def _values(self, combination: Combination) -> Combination:
        return tuple(self.ids[value] for value in combination)

    def _target(self, target: Target) -> Target:
        return replace(
            target,
            learner=self.ids[target.learner],
            dimensions=tuple(replace(d, values=self._values(d.values)) for d in target.dimensions),
            taught=tuple(self._pattern(p) for p in target.taught),
            never=tuple(self._pattern(p) for p in target.never),
            first=tuple(replace(w, pattern=self._pattern(w.pattern)) for w in target.first),
        )

    def _pattern(self, pattern: Pattern) -> dict[str, str]:
        return {name: self.ids[value] for name, value in pattern.items()}


def ids_of(given: Given) -> list[str]:
    case = given.case
    kinds = (case.learners, case.adults, case.locations, case.material_sets, case.targets)
    return sorted(id_ for kind in kinds for id_ in kind)
