"""Two dampers beside one of the same weight: in short, as tables of text, as JSON."""

from __future__ import annotations

from typing import Any

from ..model.units import Display
from ..sizing.absorber import Damper
from ..sizing.cleared import until_cleared
from ..sizing.pair_judged import OFF, JudgedPair
from ..sizing.pair_survey import Fared
from ..sizing.reasons import place_text, speed_text
from ..sizing.several import Several
from . import told
from .damper_tables import made_of
from .ledger import readable
from .tables import Table, percent


def in_short(found: Several, as_one: float | None) -> tuple[tuple[str, str], ...]:
    """The answer and what to do, each under its head; nothing where nothing was sized.

    as_one  [kg] of one damper that does as well; None: not known
    """
    single, pair = found.single, found.earning
    if single is None or found.alone is None or not found.pairs:
        return ()
    show, mass = found.host.case.display, single.found.damper.mass
    weight, alone = show.show(mass, "mass"), percent(single.found.reduction)
    if pair is None:
        best = found.pairs[0]
        said = (
            f"One damper of {weight} lowers the shake by {alone}, two of the same weight together, "
            f"{best.found.pair.kind}, by {percent(best.found.reduction)}. {_too_little(best)}"
        )
        todo = "counterbounce assess says whether that one helps at all."
        return (*until_cleared(found.host), ("ONE IS ENOUGH", said), ("NEXT", todo))
    said = (
        f"Two dampers {_where(pair)}, {weight} together, lower the shake by {percent(pair.found.reduction)}, "
        f"one of the same weight by {alone}. Of 100 vehicles that the numbers allow, "
        f"{100 * pair.fared.share_retuned:.0f} would be helped instead of "
        f"{100 * found.alone.share_retuned:.0f}, and on {100 * pair.calmer:.0f} a person would notice the "
        "difference, all tuned on the vehicle."
    )
    if as_one is not None:
        said += f" One alone would have to weigh about {show.show(as_one, 'mass', 2)} to do as well."
    todo = (
        "counterbounce assess says whether a damper is the cure at all. If it is, weigh a second bracket, "
        "retainer and re-torque date against what the table shows, and tune both springs on the vehicle."
    )
    return (*until_cleared(found.host), ("TWO DO BETTER", said), ("NEXT", todo))


def _too_little(best: JudgedPair) -> str:
    if best.found.broken:
        return f"They do not keep to: {', '.join(best.found.broken).replace('_', ' ')}."
    if not all(check.met for check in best.checks):
        return "They break a rating."
    return (
        f"What is left is {percent(1 - best.left)} less, and on {100 * best.calmer:.0f} of 100 vehicles that "
        "the numbers allow a person would notice the difference: that does not earn a second bracket."
    )


def _where(pair: JudgedPair) -> str:
    two = pair.found.pair
    places = list(dict.fromkeys(place_text(d.place) for d in two.both))
    return f"at {' and '.join(places)}" if len(places) > 1 else f"{two.kind} at {places[0]}"


def beside_table(found: Several) -> Table:
    """One damper and the best pair of each kind, all of at most the same weight."""
    title, show = "One or two, of the same weight", found.host.case.display
    columns = ("", "hangs at", "lowers it by", "springs off", "nine in ten", "as built", "tuned", "calmer")
    if found.single is None or found.alone is None or found.host.target is None:
        return Table(title, columns, ())
    one = found.single.found
    place = f"{one.damper.place}, {show.show(one.damper.mass, 'mass')}"
    rows = [("one", place, percent(one.reduction), percent(found.off), *_fared(found.alone), "–")]
    for pair in found.pairs:
        hung = "; ".join(f"{d.place}, {show.show(d.mass, 'mass')}" for d in pair.found.pair.both)
        shares = percent(pair.found.reduction), percent(pair.off)
        rows.append((pair.found.pair.kind, hung, *shares, *_fared(pair.fared), f"{100 * pair.calmer:.0f}"))
    marked = frozenset(n for n, pair in enumerate(found.pairs, 1) if pair is found.earning)
    return Table(title, columns, tuple(rows), (2, 3, 4, 5, 6, 7), _beside_note(found), marked)


def _fared(did: Fared) -> tuple[str, str, str]:
    low, high = (percent(share) for share in did.interval_retuned)
    return f"{low.removesuffix(' %')} to {high}", f"{100 * did.share:.0f}", f"{100 * did.share_retuned:.0f}"


def _beside_note(found: Several) -> str:
    assert found.host.target is not None
    case = found.host.case
    broken = [
        f"{p.found.pair.kind}: does not keep to {', '.join(p.found.broken).replace('_', ' ')}."
        for p in found.pairs
        if p.found.broken
    ]
    band = speed_text(found.host.target.band, case.display)
    off, worth = percent(OFF), percent(case.limits.worth)
    said = [
        f"By how much the largest typical level from {band} falls; springs off: with each {off} off in",
        f"frequency, the worst way. Nine in ten: of {found.vehicles} vehicles that the numbers allow, each",
        "counted by how well it agrees with the complaint, tuned on the vehicle. As built, tuned: how",
        f"many of 100 are helped, by {worth} or more. Calmer: on how many of 100 a person would notice",
        "what the pair does beyond the one, both tuned.",
    ]
    return " ".join([*said, *broken])


def build_table(found: Several) -> Table:
    """What to build where a pair earns its second bracket; nothing otherwise."""
    title, columns = "What to build, if two", ("", "first", "second")
    pair, show = found.earning, found.host.case.display
    if pair is None:
        return Table(title, columns, ())
    two = pair.found.pair
    hung = [two.first.place, "the first's mass" if two.stacked else two.second.place]
    each = [_made(d, sag, show) for d, sag in zip(two.both, two.sags, strict=True)]
    strokes = [show.show(stroke, "small_length") for stroke in pair.found.strokes]
    rows = (
        ("hangs at", *hung),
        *((what, text, each[1][what]) for what, text in each[0].items()),
        ("stroke each way, all inputs at their worst", *strokes),
    )
    note = (
        "Stroke and sag are against what each hangs on. A few newtons of dry friction can lock a damper at "
        "small strokes: let both move freely. As plain ballast the same weight would lower the shake by "
        f"{percent(pair.comparison.ballast_reduction)}. {_elsewhere(found, pair)}"
    )
    return Table(title, columns, rows, (1, 2), note.strip())


def _made(hung: Damper, sag: float, show: Display) -> dict[str, str]:
    return made_of(hung, show) | {"static sag of the spring": show.show(sag, "small_length")}


def _elsewhere(found: Several, pair: JudgedPair) -> str:
    other, show = pair.comparison.elsewhere, found.host.case.display
    if other is None:
        return ""
    before, after = (readable(show.show(v, "acceleration")) for v in (other.before, other.after))
    verb = "rises most" if other.after > other.before else "falls least"
    held = "within what is allowed" if other.allowed else "MORE than is allowed"
    return (
        f"At other speeds it {verb} at {show.show(other.speed, 'speed')}, {other.point}: {before} before, "
        f"{after} after; {held} there."
    )


def ratings_table(found: Several) -> Table:
    """Every rating with both weights on, where a pair earns its second bracket."""
    columns, pair, show = (
        ("rating", "limit", "before", "with both", ""),
        found.earning,
        found.host.case.display,
    )
    rows = []
    for check in pair.checks if pair else ():
        values = (check.limit, check.before, check.after)
        texts = [_rated(v, check.unit, show) for v in values]
        side = "at least this" if check.floor else "at most this"
        rows.append((check.name, *texts, f"{'holds' if check.met else 'BROKEN'} ({side})"))
    return Table("Ratings", columns, tuple(rows), (1, 2, 3))


def _rated(value: float, unit: str, show: Display) -> str:
    if unit == "-":
        return f"{value:.1%}".replace("%", " %")
    return show.show(value, "length" if unit == "m" else "mass", 4)


def answer(found: Several, as_one: float | None) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key [SI].

    as_one  [kg] of one damper that does as well; None: not known
    """
    case, target, verdict = found.host.case, found.host.target, found.verdict
    whole: dict[str, Any] = told.plain(
        {
            "run": told.run(case, 0),
            "case": {"name": case.name, "note": case.note or None},
            "verdict": told.verdict(verdict),
            "band_m_s": target.band if target else None,
            "worth": case.limits.worth,
            "vehicles": found.vehicles or None,
            "single": _single(found),
            "pairs": [_pair(pair) for pair in found.pairs],
            "earning": found.earning.found.pair.kind if found.earning else None,
            "equal_single_mass_kg": as_one,
            "said": [f"{head}: {body}" for head, body in in_short(found, as_one)],
            "cautions": list(found.cautions),
        }
    )
    return whole


def _single(found: Several) -> dict[str, Any] | None:
    if found.single is None or found.alone is None:
        return None
    one = found.single.found
    return {
        "place": one.damper.place,
        **told.damper(one.damper),
        "level_m_s2": one.level,
        "reduction": one.reduction,
        "reduction_springs_off": found.off,
        "limits_broken": one.broken,
        **_shares(found.alone),
    }


def _pair(pair: JudgedPair) -> dict[str, Any]:
    two = pair.found.pair
    return {
        "kind": two.kind,
        "earns_its_bracket": pair.earns,
        "dampers": [
            {"place": d.place, **told.damper(d), "sag_m": sag, "stroke_m": stroke}
            for d, sag, stroke in zip(two.both, two.sags, pair.found.strokes, strict=True)
        ],
        "second_hangs_on_first": two.stacked,
        "mass_kg": two.mass,
        "level_m_s2": pair.found.level,
        "reduction": pair.found.reduction,
        "ballast_reduction": pair.comparison.ballast_reduction,
        "reduction_springs_off": pair.off,
        "left_over_single": pair.left,
        **_shares(pair.fared),
        "share_calmer_than_single": pair.calmer,
        "worst_elsewhere": told.worst_elsewhere(pair.comparison),
        "limits_broken": pair.found.broken,
        "ratings": [told.rating(check) for check in pair.checks],
    }


def _shares(did: Fared) -> dict[str, Any]:
    return {
        "reduction_interval_90": did.interval,
        "retuned_reduction_interval_90": did.interval_retuned,
        "share_helped": did.share,
        "share_helped_retuned": did.share_retuned,
    }
