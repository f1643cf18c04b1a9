"""What recordings of a vehicle said, kept with its case."""

from __future__ import annotations

from dataclasses import dataclass

from .measured.findings import Evidence


@dataclass(frozen=True)
class Said:
    """What one recording said, read without knowing what was predicted.

    name    of the recording
    found   its findings, its estimates, and what to record next
    points  that were recorded
    speeds  [m/s] between which it was driven; None: it stood, or the speed was not recorded

    >>> from .measured.findings import Finding, NextStep
    >>> quiet = Evidence((Finding("nothing", "nothing stands out", 0.9),), {}, NextStep("", "", "", ""))
    >>> Said("ride", quiet, ("rear end",), (15.0, 25.0)).passed((20.0, 28.0))
    True
    """

    name: str
    found: Evidence
    points: tuple[str, ...] = ()
    speeds: tuple[float, float] | None = None

    def passed(self, band: tuple[float, float]) -> bool:
        """Whether it was driven through the middle of some speeds.

        band  from, to [m/s]
        """
        return self.speeds is not None and self.speeds[0] <= sum(band) / 2 <= self.speeds[1]
