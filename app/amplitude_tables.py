"""What is not proportional, at the amplitude found, as tables of text."""

from __future__ import annotations

import numpy as np

from ..model.forces import Leaf
from ..sizing.assess import Assessment
from ..sizing.at_amplitude import AtAmplitude
from ..sizing.freed_leaf import Freed
from ..sizing.leaf_first import leaf_first, leaves_text
from ..sizing.reasons import speed_text
from .ledger import readable
from .tables import Table, fine_percent, level, percent

SETTLED = 0.01  # of a stretch: what does not settle nearer than that is said
COLUMNS_MM = (2.0, 5.0, 20.0)  # of the amplitudes that are followed, those that a table shows


def before_a_weight(a: Assessment) -> str:
    """Which leaves come before a weight, and why; nothing where none does."""
    return leaf_first(a.host, a.verdict, a.amplitude)


def laws_table(a: Assessment) -> Table:
    """Each law at the amplitude found in the band: how far it moves, and what it is worth there."""
    title = "What is not proportional, at the amplitude found"
    columns = (
        "", "it moves by", "friction turns round over", "friction holds", "rate there",
        "for small shakes", "under load",
    )  # fmt: skip
    found = a.amplitude
    if found is None:
        return Table(title, columns, ())
    rows = tuple(_law_row(a, found, i) for i in range(len(found.laws)))
    return Table(title, columns, rows, (1, 2, 3, 4, 5, 6), _note(a, found))


def _law_row(a: Assessment, found: AtAmplitude, i: int) -> tuple[str, ...]:
    law, show, locked = found.laws[i], a.case.display, found.locked(i)
    leaf = law.force if isinstance(law.force, Leaf) else None

    def rate(value: float | None) -> str:
        return "–" if value is None else show.show(value, "stiffness")

    return (
        law.name,
        show.show(float(found.stretch[i]), "small_length"),
        show.show(leaf.travel, "small_length") if leaf else "–",
        "–" if locked is None else percent(locked),
        rate(found.worth(i)[0]),
        rate(leaf.small_shake_rate if leaf else None),
        rate(leaf.rate if leaf else None),
    )


def _note(a: Assessment, found: AtAmplitude) -> str:
    show = a.case.display
    said = [
        f"All inputs together, {speed_text(found.band, show)}; the shake is largest at "
        f"{show.show(found.speed, 'speed')}, {level(a, found.level)}."
    ]
    if found.assumed:
        said.append("What holds the leaves is assumed, not measured, and changes no answer.")
    if (error := float(found.settled.error.max())) > SETTLED:
        said.append(f"The stretches did not settle; they may be off by {percent(error)}.")
    if found.other is not None:
        said.append("From large shakes downwards another motion stands at the same speed.")
    if not before_a_weight(a):
        said.append(_no_cure(found.freed))
    return " ".join(said)


def _no_cure(freed: Freed | None) -> str:
    """What freeing the leaves would do where it is not the cure."""
    if freed is None:
        return "No leaf is held by its friction there."
    leaves = leaves_text(freed.leaves)
    if abs(freed.reduction) < 0.005:
        return f"With a third of their friction {leaves} would change nothing."
    does = "lower" if freed.reduction > 0 else "raise"
    share = percent(abs(freed.reduction))
    return f"With a third of their friction {leaves} would {does} the shake by {share} only."


def along_table(a: Assessment) -> Table:
    """Natural frequency and damping of each mode along the stretch of the laws, and with those found."""
    title = "Natural frequencies along amplitude"
    found = a.amplitude
    if found is None:
        return Table(title, (), ())
    along, there, show = found.along, found.there, a.case.display
    shown = [int(np.argmin(np.abs(along.amplitude * 1e3 - mm))) for mm in COLUMNS_MM]
    m = a.host.modes
    rows = tuple(
        (
            name[:1].upper() + name[1:],
            _cell(m.frequency_hz[mode], m.damping_ratio[mode]),
            _cell(there.frequency_hz[0, i], there.damping_ratio[0, i]),
            *(_cell(along.frequency_hz[n, i], along.damping_ratio[n, i]) for n in shown),
        )
        for i, (name, mode) in enumerate(zip(along.names, along.modes, strict=True))
    )
    stretches = (show.show(along.amplitude[n], "small_length", 2) for n in shown)
    columns = ("mode", "for small shakes", "as found", *stretches)
    note = readable(
        "Damping beside each frequency. As found: every law moves as far as the table above says; then every "
        "law by as much as the column says. First harmonic only: good to 1 to 8 %."
    )
    return Table(title, columns, rows, tuple(range(1, len(columns))), note)


def _cell(frequency: float, damping: float) -> str:
    return f"{frequency:.2f} Hz, {fine_percent(damping)}" if np.isfinite(frequency) else "–"
