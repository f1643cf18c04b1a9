"""The damper that survives doubt, beside the nominal one: in short, as tables of text, as JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from ..model.case import Case
from ..model.units import Display
from ..sizing.cleared import until_cleared
from ..sizing.reasons import place_text, speed_text
from ..sizing.robust import Robust
from ..sizing.robust_search import Fared
from ..sizing.tolerances import Tolerances
from . import told
from .damper_tables import made_of
from .ledger import readable
from .tables import Table, percent

LITTLE = 0.02  # of the shake: a damper that brings no more for the stated share is the nominal one


def in_short(found: Robust) -> tuple[tuple[str, str], ...]:
    """The answer and what to do, each under its head; nothing where nothing was sized.

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> from ..model.numbers import Known
    >>> from ..sizing.robust import robust
    >>> one, more = small_case(), {"axle.rear.rating": Known(4e3, 0.0, "published")}
    >>> found = robust([replace(one, numbers=one.numbers.with_given(more))], vehicles=64)
    >>> [head for head, _ in in_short(found)][-1]
    'NEXT'
    """
    if found.verdict is not None:
        return ()
    show, hung, many = found.hosts[0].case.display, found.damper, percent(found.quantile)
    gains = [min(f.gain for f in fared) for fared in (found.nominal, found.robust)]
    states = "" if len(found.hosts) == 1 else ", in the worst of the states asked about"
    said = (
        f"A damper of {show.show(hung.mass, 'mass')} at {place_text(hung.place)}, tuned to "
        f"{show.show(hung.tuned_hz, 'frequency')} with {percent(hung.damping_ratio)} damping, lowers the "
        f"level that {many} of the vehicles stay below by {percent(gains[1])}{states}; the one that is best "
        f"for the best estimate alone, by {percent(gains[0])}. On the best estimate it gives up "
        f"{percent(found.lost)} of the shake."
    )
    todo = (
        "counterbounce assess says whether a damper is the cure at all. Build this one if it cannot be tuned "
        "on the vehicle; if it can, build it adjustable and tune it there."
    )
    first = until_cleared(found.hosts[0])
    if not found.serves:
        return (*first, ("NOT SURE ENOUGH", said), ("NEXT", _instead(found) or todo))
    head = "THE ROBUST ONE" if found.won > LITTLE else "THE NOMINAL ONE WILL DO"
    return (*first, (head, said), ("NEXT", todo))


def _instead(found: Robust) -> str:
    """What would serve where no one damper does."""
    worth = percent(found.hosts[0].case.limits.worth)
    if not found.alone:
        return (
            f"For {percent(found.quantile)} of the vehicles less than {worth} is sure with any damper as "
            "built, or it breaks a limit. Narrow the model before buying anything (counterbounce assess says "
            "what decides it), or build it adjustable and tune it on the vehicle."
        )
    if not found.each_alone:
        return (
            "Not even a damper of its own serves each of these states: counterbounce assess on each says why."
        )
    each = "; ".join(
        f"{one.case.name}: {one.case.display.show(f.found.damper.tuned_hz, 'frequency')} at "
        f"{place_text(f.found.damper.place)}"
        for one, f in zip(found.hosts, found.alone, strict=True)
    )
    return (
        "No one damper serves all of these states. One for each would, or one that is tuned anew with the "
        f"load: {each}."
    )


def dampers_table(found: Robust) -> Table:
    """What to build, beside the nominal optimum."""
    title, columns = "What to build", ("", "best estimate alone", "survives doubt")
    if not found.robust:
        return Table(title, columns, ())
    show = found.hosts[0].case.display
    two = [fared[0].found.damper for fared in (found.nominal, found.robust)]
    each = [made_of(d, show) for d in two]
    rows = (
        ("hangs at", *(d.place for d in two)),
        *((what, text, each[1][what]) for what, text in each[0].items()),
    )
    return Table(title, columns, rows, (1, 2), f"Built within: {tolerances_text(found.tolerances, show)}.")


def tolerances_text(t: Tolerances, show: Display) -> str:
    """Tolerances in words.

    >>> from ..model.example import small_case
    >>> tolerances_text(Tolerances(bracket=None), small_case().display)
    'mass ± 1 %, stiffness ± 5 %, damping ± 20 %, a stiff bracket'
    """
    shares = {"mass": t.mass, "stiffness": t.stiffness, "damping": t.damping, "temperature": t.temperature}
    said = [f"{name} ± {percent(share)}" for name, share in shares.items() if share]
    if t.bracket is None:
        said.append("a stiff bracket")
    else:
        rate = readable(show.show(t.bracket, "stiffness"))
        said.append(f"a bracket of {rate}, known to a factor of {1 + t.bracket_off:.2g}")
    if t.friction:
        said.append(f"guides that hold {readable(show.show(t.friction, 'force'))} before they slip")
    return ", ".join(said)


def fared_table(found: Robust) -> Table:
    """How both fare in each state, on the best estimate and on the vehicles that the numbers allow."""
    many = percent(found.quantile)
    columns = (
        "state",
        "damper",
        "best estimate",
        f"for {many}",
        "helped",
        "stroke below",
        "does not keep to",
    )
    rows = []
    for i, one in enumerate(found.hosts):
        kinds = [("best estimate alone", found.nominal), ("survives doubt", found.robust)]
        kinds += [("best for this state", found.alone)] if found.alone else []
        show = one.case.display
        rows += [
            (
                one.case.name,
                kind,
                percent(fared[i].found.reduction),
                percent(fared[i].gain),
                f"{100 * fared[i].helped:.0f}",
                show.show(fared[i].stroke, "small_length"),
                _broken(fared[i]),
            )
            for kind, fared in kinds
            if fared
        ]
    note = _note(found) if rows else ""
    if len(found.hosts) == 1:
        return Table("How they fare", columns[1:], tuple(row[1:] for row in rows), (1, 2, 3, 4), note)
    return Table("How they fare", columns, tuple(rows), (2, 3, 4, 5), note)


def _broken(fared: Fared) -> str:
    names = dict.fromkeys((*fared.broken, *fared.found.broken))
    return ", ".join(name.replace("_", " ") for name in names) or "–"


def _note(found: Robust) -> str:
    one = found.hosts[0]
    assert one.target is not None
    return (
        f"By how much the largest typical level from {speed_text(one.target.band, one.case.display)} falls: "
        f"on the best estimate with the damper exactly as drawn; and the level that "
        f"{percent(found.quantile)} of {len(found.robust[0].left)} vehicles stay below, each with a damper "
        "off by its tolerances, counted by how well it agrees with the complaint. A level that rises at "
        f"another speed counts as one in the band. Helped: of 100 vehicles, those that gain "
        f"{percent(one.case.limits.worth)} or more with the damper as built, not tuned anew."
    )


def _file(case: Case) -> dict[str, str]:
    return {"case_file": case.path.name, "case_sha256": case.sha256}


def answer(found: Robust) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key [SI]."""
    case, verdict = found.hosts[0].case, found.verdict
    sized = bool(found.robust)
    whole: dict[str, Any] = told.plain(
        {
            "run": told.run(case, found.seed, beside=[_file(one.case) for one in found.hosts[1:]]),
            "case": {"name": case.name, "note": case.note or None},
            "verdict": told.verdict(verdict),
            "quantile": found.quantile,
            "worth": case.limits.worth,
            "tolerances": _tolerances(found.tolerances),
            "nominal": [_fared(f) for f in found.nominal],
            "robust": [_fared(f) for f in found.robust],
            "best_for_each_state": [_fared(f) for f in found.alone],
            "nominal_reduction_lost": found.lost if sized else None,
            "quantile_gain_won": found.won if sized else None,
            "serves": found.serves if sized else None,
            "said": [f"{head}: {body}" for head, body in in_short(found)],
            "cautions": list(found.cautions),
        }
    )
    return whole


def _tolerances(t: Tolerances) -> dict[str, Any]:
    plain = asdict(t)
    return {
        **{name: plain[name] for name in ("mass", "stiffness", "damping", "temperature")},
        "bracket_n_m": t.bracket,
        "bracket_factor": 1 + t.bracket_off,
        "friction_n": t.friction,
    }


def _fared(fared: Fared) -> dict[str, Any]:
    return {
        "place": fared.found.damper.place,
        **told.damper(fared.found.damper),
        "reduction": fared.found.reduction,
        "quantile_gain": fared.gain,
        "quantile_stroke_m": fared.stroke,
        "vehicles": len(fared.left),
        "share_helped": fared.helped,
        "limits_broken": fared.broken,
        "limits_broken_on_best_estimate": fared.found.broken,
    }
