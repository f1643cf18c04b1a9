"""What a calibrated vehicle says of a recording that it was not calibrated with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, log, log1p

from .calibrated import Calibrated
from .datum import Datum
from .predicted import MODEL_ERROR
from .road import HIGHEST


@dataclass(frozen=True)
class HeldOut:
    """A frequency that was kept back, beside the nearest mode.

    measured, before, after  [Hz]; before and after the calibration
    inside                   whether what is known of both, 95 %, holds their difference
    """

    datum: Datum
    mode: str
    measured: float
    before: float
    after: float
    inside: bool

    @property
    def error(self) -> float:
        """Of the calibrated vehicle, as a share [-]."""
        return self.after / self.measured - 1


def held_out(found: Calibrated, data: Sequence[Datum]) -> tuple[HeldOut, ...]:
    """Each natural frequency below 25 Hz of data that were kept back beside the mode that comes nearest.

    >>> from .calibrate import calibrate
    >>> from .example import small_case
    >>> told = calibrate(small_case(), [Datum("natural frequency", 2.9, 0.05, mode="body pitch")])
    >>> one = held_out(told, [Datum("natural frequency", 2.93, 0.05)])[0]
    >>> one.mode, round(one.error, 3), one.inside
    ('body pitch', -0.009, True)
    """
    told = []
    for datum in data:
        if datum.what != "natural frequency" or datum.value > HIGHEST or not found.modes:
            continue
        mode = min(found.modes, key=lambda one: abs(log(one.after[0] / datum.value)))
        wide = hypot(
            log(mode.after[2] / mode.after[0]),
            log1p(datum.half / datum.value),
            log1p(MODEL_ERROR[datum.what]),
        )
        inside = abs(log(mode.after[0] / datum.value)) <= wide
        told.append(HeldOut(datum, mode.name, datum.value, mode.before[0], mode.after[0], inside))
    return tuple(told)
