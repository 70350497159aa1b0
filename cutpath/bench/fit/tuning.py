"""A measured file to the values that explain it: determined, consistent, within what may be."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from cutpath.bench.fit.determining import open_values, would_settle
from cutpath.bench.fit.misreading import Suspect, judge
from cutpath.bench.fit.observing import Observation, candidates, observations
from cutpath.bench.fit.outcome import Fitted, Misread, Outcome, Row
from cutpath.bench.fit.refusing import inconsistent, out_of_limits, undecided, undetermined
from cutpath.bench.fit.rounding import rounded
from cutpath.bench.fit.settling import notes, settings
from cutpath.bench.fit.slips import likely_slip
from cutpath.bench.fit.solving import Solved, slopes, solve
from cutpath.bench.fit.unknowns import Kind, Unknown, Values, unknowns_of
from cutpath.errors import FitError, InputError
from cutpath.settings.measured_file import Measured
from cutpath.settings.profile import Profile
from cutpath.settings.toml_file import nearest_word

_TELLS_APART = 2.0
"""Standard uncertainties from which a measured value is another than the profile's."""
_CHANCE = 3.0
"""Standard uncertainties that chance may put between a value and what it must not pass."""
_MOST_TOLD = 3
_SOME_BLADE = 0.3
"""mm to begin with where the profile has no blade offset: at 0 circles tell nothing."""


def tune(measured: Measured, profile: Profile, held: Collection[str] = ()) -> Outcome:
    """Fit what the readings settle; values named in ``held`` stay as the profile has them.

    Raises InputError where the readings leave a value open (told with the readings that would
    settle it), and FitError where they contradict each other with no one reading to blame, or make
    a value what it cannot be.
    """
    known = unknowns_of(profile)
    for name in held:
        if name not in known:
            raise InputError(
                f"there is no value '{name}' to hold", remedy=nearest_word(name, known)
            )
    told = {name: unknown.told for name, unknown in known.items()}
    seen = observations(measured, profile, told)
    beside = settings(measured, profile)
    if not seen and not beside and not notes(measured, profile):
        raise InputError(
            "no reading is filled in",
            measured.place("pattern"),
            "Write what you measured between the quotes under [pattern.readings].",
        )
    task = _Task(measured, profile, known, told, frozenset(held))
    if not task.unknowns(seen):
        return Outcome((), (), (), beside, notes(measured, profile), tuple(held), 0, 1.0)
    solved, used, misread, scatter = task.agreed(seen)
    fitted = task.fitted(solved, used)
    final = solved.values
    rows = tuple(
        Row(each.name, each.mm, each.sigma, each.model(final), each in used) for each in seen
    )
    spare = len(used) - len(solved.unknowns)
    told_beside = notes(measured, profile)
    return Outcome(fitted, rows, misread, beside, told_beside, tuple(held), spare, scatter)


@dataclass(frozen=True, slots=True)
class _Task:
    measured: Measured
    profile: Profile
    known: dict[str, Unknown]
    told: Values
    held: frozenset[str]

    def unknowns(self, seen: Sequence[Observation]) -> list[Unknown]:
        """Give what the readings should settle, in the profile's order."""
        names = {name for each in seen for name in (*each.wanted, *each.about)} - self.held
        return [unknown for name, unknown in self.known.items() if name in names]

    def solved(
        self, seen: Sequence[Observation], unknowns: list[Unknown], because: str = ""
    ) -> Solved:
        """Fit; raise InputError when ``seen`` leaves a value open, ``because`` said before it."""
        start = dict(self.told)
        for unknown in unknowns:
            if unknown.name.endswith(".blade_offset"):
                start[unknown.name] = max(unknown.told, _SOME_BLADE)
        self._require_determined(seen, unknowns, start, because)
        done = solve(seen, unknowns, start)
        self._require_determined(seen, unknowns, done.values, because)
        return done

    def _require_possible(self, solved: Solved, seen: Sequence[Observation]) -> None:
        """Raise FitError for scales and leans that no machine has."""
        for unknown in solved.unknowns:
            value = solved.values[unknown.name]
            if unknown.kind is not Kind.LENGTH and not unknown.least <= value <= unknown.most:
                raise out_of_limits(self.measured, unknown, value, seen, self.told)

    def _require_determined(
        self, seen: Sequence[Observation], unknowns: list[Unknown], at: Values, because: str
    ) -> None:
        left = open_values(slopes(seen, unknowns, at), unknowns)
        if not left:
            return
        others = candidates(self.measured, self.profile, self.told)
        known = {name: each for name, each in self.known.items() if name not in self.held}
        named = would_settle(left, seen, others, known, at)
        raise undetermined(self.measured, left, named, because)

    def agreed(
        self, seen: list[Observation]
    ) -> tuple[Solved, list[Observation], tuple[Misread, ...], float]:
        """Give a fit of readings that agree, those readings, and the one left out, if any."""
        solved = self.solved(seen, self.unknowns(seen))
        verdict = judge(solved, seen)
        if verdict.agree:
            self._require_possible(solved, seen)
            return solved, seen, (), verdict.scatter
        if not verdict.suspects:
            order = sorted(range(len(seen)), key=lambda row: -abs(solved.misfits[row]))
            off = [(seen[r].name, -solved.misfits[r] * seen[r].sigma) for r in order[:_MOST_TOLD]]
            raise inconsistent(self.measured, verdict.scatter, off)
        told, impossible = [], []
        for suspect in verdict.suspects:
            try:
                told.append(self._without(seen, suspect))
            except FitError as error:
                impossible.append(error)
        if not told:
            raise impossible[0]
        if len(told) > 1:
            raise undecided(self.measured, [each[2] for each in told])
        solved, used, misread = told[0]
        return solved, used, misread, judge(solved, used).scatter

    def _without(
        self, seen: list[Observation], suspect: Suspect
    ) -> tuple[Solved, list[Observation], tuple[Misread, ...]]:
        rest = [each for row, each in enumerate(seen) if row not in suspect.rows]
        names = " and ".join(seen[row].name for row in suspect.rows)
        because = f"{names} does not fit the rest, and without it "
        # All that was asked before is asked still: nothing falls away with the reading left out.
        solved = self.solved(rest, self.unknowns(seen), because)
        self._require_possible(solved, rest)
        misread = tuple(_misread(seen, row, suspect, solved) for row in suspect.rows)
        return solved, rest, misread

    def fitted(self, solved: Solved, used: list[Observation]) -> tuple[Fitted, ...]:
        """Give each value as measured and as written; raise FitError for what cannot be."""
        written = self._written(solved, used)
        out = []
        for unknown in solved.unknowns:
            value, sigma = solved.values[unknown.name], solved.sigma(unknown.name)
            new = written[unknown.name]
            if new != unknown.told:
                new = rounded(new, sigma, unknown.kind)
            patterns = dict.fromkeys(
                each.name.partition(".")[0] for each in used if unknown.name in each.about
            )
            changes = new != unknown.told
            out.append(Fitted(unknown, value, sigma, new, changes, tuple(patterns)))
        return tuple(out)

    def _written(self, solved: Solved, used: list[Observation]) -> dict[str, float]:
        """Give the values to write: what differs only by chance is held as it was, one by one.

        After each, the others are fitted again, as values that are known together only (a blade's
        offset and the play that its slits show) share what the held one leaves.
        """
        free, now = list(solved.unknowns), solved
        values = dict(solved.values)
        while free:
            apart = {u.name: abs(now.values[u.name] - u.told) / now.sigma(u.name) for u in free}
            past = [u for u in free if not u.least <= now.values[u.name] <= u.most]
            least = min(free, key=lambda u: apart[u.name])
            if apart[least.name] < _TELLS_APART:
                values[least.name] = least.told
            elif past:
                least = past[0]
                values[least.name] = self._at_limit(least, now, used)
            else:
                break
            free.remove(least)
            if free:
                now = solve(used, free, values)
                values |= {u.name: now.values[u.name] for u in free}
        return values

    def _at_limit(self, unknown: Unknown, solved: Solved, used: list[Observation]) -> float:
        value, sigma = solved.values[unknown.name], solved.sigma(unknown.name)
        limit = min(max(value, unknown.least), unknown.most)
        if abs(value - limit) > _CHANCE * sigma:
            raise out_of_limits(self.measured, unknown, value, used, self.told)
        return limit


def _misread(seen: Sequence[Observation], row: int, suspect: Suspect, solved: Solved) -> Misread:
    each = seen[row]
    expected = each.model(solved.values)
    slope = slopes([each], solved.unknowns, solved.values)[0] * each.sigma
    spread = math.sqrt(float(slope @ solved.covariance() @ slope) + each.sigma**2)
    assert each.reading is not None
    if suspect.exchanged:
        other = seen[next(other for other in suspect.rows if other != row)].name
        slip = f"it looks written in the place of {other}, and that in its place"
    else:
        slip = _slip(each, expected, _CHANCE * spread)
    line = each.reading.source.line
    return Misread(each.name, line, each.mm, expected, 2 * spread, slip)


def _slip(each: Observation, expected: float, doubt: float) -> str:
    assert each.reading is not None
    return likely_slip(each.mm, each.reading.digits, each.reading.unit_mm, expected, doubt)
