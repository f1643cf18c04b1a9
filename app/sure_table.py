"""How surely: what the vehicles do that the numbers of a case allow, as tables."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ..sizing.assess import Assessment
from ..sizing.narrowing import how_to_measure
from ..sizing.sureness import helped
from ..sizing.survey import Survey
from .ledger import in_words
from .tables import Table, level, percent

Floats = NDArray[np.float64]

SHOWN = 4  # numbers that decide, at most
MOVED = 0.4  # standard deviations; a mean of 40 vehicles is off by 0.16 by chance
TELLS = 0.05  # a number that carries less of the doubt is not worth a trip


def sure_table(a: Assessment) -> Table:
    """Best estimate, and where nine in ten plausible vehicles lie."""
    title, columns = "How surely", ("", "best estimate", "nine in ten vehicles lie between")
    if a.survey is None or a.sized is None or a.host.target is None:
        return Table(title, columns, ())
    s, show, effect, best = a.survey, a.case.display, a.sized.comparison, a.host.target.critical
    told: list[tuple[str, float | None, Floats, Callable[[float], str]]] = [
        (
            f"{best.mode_name}, frequency",
            best.frequency,
            s.frequency[:, best.mode],
            lambda f: show.show(f, "frequency"),
        ),
        ("shakes most at", best.speed, s.speed, lambda v: show.show(v, "speed")),
        ("level in the band, before", effect.largest(effect.before), s.before, lambda v: level(a, v)),
        ("the damper lowers it by", effect.reduction, s.reduction, percent),
        ("tuned anew on the vehicle, by", None, s.retuned_reduction, percent),
        ("as plain ballast, by", effect.ballast_reduction, s.ballast_reduction, percent),
    ]
    rows = tuple(
        (what, "–" if mine is None else word(mine), " to ".join(map(word, s.interval(values))))
        for what, mine, values, word in told
    )
    return Table(title, columns, rows, (1, 2), _note(a, s))


def _note(a: Assessment, s: Survey) -> str:
    share = helped(s, a.case.limits.worth)
    drawn = f"{len(s.speed)} vehicles were drawn from the spreads of the numbers"
    if a.case.complaint:
        drawn += ", each counted by how well it agrees with the complaint and with a weight test"
    return (
        f"{drawn}. Of 100, {100 * share:.0f} ± {100 * 2 * s.error(share):.0f} would be helped by "
        f"{percent(a.case.limits.worth)} or more once the damper is tuned on the vehicle."
    )


def decides_table(a: Assessment) -> Table:
    """Which numbers decide how much the damper helps, and how each is measured."""
    title, columns = "What decides it", ("number", "share of the doubt", "measure")
    if a.survey is None:
        return Table(title, columns, ())
    carried = a.survey.decides(a.survey.retuned_reduction)
    most = [(path, share) for path, share in carried.items() if share >= TELLS][:SHOWN]
    rows = tuple((in_words(path), percent(share), how_to_measure(path)) for path, share in most)
    note = "Share of the variance of the reduction, tuned on the vehicle, that goes with the number alone."
    return Table(title, columns, rows, (1,), note if rows else "")


def shifts_table(a: Assessment) -> Table:
    """What the complaint and a weight test say of the numbers, where they say anything."""
    title, columns = "What the shake says of the numbers", ("number", "moves by", "doubt left")
    if a.survey is None:
        return Table(title, columns, ())
    found = sorted(a.survey.shifts().items(), key=lambda shift: -abs(shift[1][0]))
    most = [(path, *shift) for path, shift in found if abs(shift[0]) >= MOVED][:SHOWN]
    rows = tuple(
        (in_words(path), f"{'+' if mean > 0 else '−'}{abs(mean):.1f} of its spreads", percent(left))
        for path, mean, left in most
    )
    note = (
        "The mean over the plausible vehicles that agree, in standard deviations off what the case or a rule "
        "says. Nothing was changed by it: the best estimate is that of the case."
    )
    return Table(title, columns, rows, (1, 2), note if rows else "")
