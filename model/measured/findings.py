"""What a finding is: a shake, where it is felt, what kind it is, how surely, and the numbers behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ..notebook import shown_as_html

Kind = Literal["rotating_part", "resonance", "not_separable", "nothing", "outside_the_model"]
MetBy = Literal["wheel_order", "joints", "roughness"]
Driveline = Literal["quiet", "moves_with_it", "unknown"]


@dataclass(frozen=True)
class PointMotion:
    """How one point takes part in a shake.

    level     [m/s^2] r.m.s. at the frequency of the shake
    phase     [rad] against the point that shakes most; positive where it leads
    error     [rad] standard error of the phase; infinite where the point does not follow
    followed  [-] coherence with the point that shakes most
    """

    level: float
    phase: float
    error: float
    followed: float


@dataclass(frozen=True)
class Estimate:
    """A number that the recording itself tells, between `low` and `high` with 95 %.

    value, low, high  in `unit`
    unit              SI, as text; "" for a pure number
    how               what it was read off, in words

    >>> print(Estimate(2.41, 2.36, 2.46, "m", "wheel order 1 against speed"))
    2.41 m (2.36 to 2.46)
    """

    value: float
    low: float
    high: float
    unit: str
    how: str

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.value:.4g}{unit} ({self.low:.4g} to {self.high:.4g})"


@dataclass(frozen=True)
class Finding:
    """One shake.  What does not apply, or is not known, is None.

    kind                rotating_part grows with speed and has no peak of its own, or is larger than a healthy
                        one; resonance stays at a frequency; not_separable: one speed only; nothing: no
                        part and no natural frequency above the threshold; outside_the_model: left
                        against right, or sideways
    met_by              what meets a resonance; of `nothing`, "joints" where it is they that are felt
    cause               in words: "wheel order 1, rear axle"
    where               the point or axle at which it is largest, or the part that turns
    order               [-] turns of the part per turn of a wheel; for joints the harmonic
    frequency_hz        [Hz] natural frequency of a resonance, else where the shake is largest
    damping_ratio       [-] of a resonance
    interval            [Hz] 95 % interval of the frequency
    damping_interval    [-] 95 % interval of the damping ratio
    speed_band_m_s      [m/s] between which it is above 0.71 of its highest level
    level_m_s2          [m/s^2] r.m.s. at its highest, at the point where it is largest
    share               [-] of the power between 3 and 25 Hz there and then
    points              each vertical point's part in it
    input_over_healthy  [-] size of the input against a healthy one, from what the axle does outside resonance
    amplified_by        [-] what the resonance makes of the input at its peak
    driveline           whether the driveline moves with it; following is not driving
    confidence          [-] probability that `kind` is right
    numbers             what is behind it, by name, each in the unit that its name ends in
    """

    kind: Kind
    cause: str
    confidence: float
    met_by: MetBy | None = None
    where: str | None = None
    order: float | None = None
    frequency_hz: float | None = None
    damping_ratio: float | None = None
    interval: tuple[float, float] | None = None
    damping_interval: tuple[float, float] | None = None
    speed_band_m_s: tuple[float, float] | None = None
    level_m_s2: float | None = None
    share: float | None = None
    points: Mapping[str, PointMotion] = field(default_factory=dict)
    input_over_healthy: float | None = None
    amplified_by: float | None = None
    driveline: Driveline = "unknown"
    numbers: Mapping[str, float] = field(default_factory=dict)

    def __str__(self) -> str:
        at = "" if self.frequency_hz is None else f" at {self.frequency_hz:.3g} Hz"
        return f"{self.kind}: {self.cause}{at}, {100 * self.confidence:.0f} % sure"


@dataclass(frozen=True)
class NextStep:
    """The one thing to do next: what to record, where to put the sensor, how to drive, and why."""

    record: str
    where: str
    drive: str
    why: str

    def __str__(self) -> str:
        return " ".join(part for part in (self.record, self.where, self.drive, self.why) if part)


@dataclass(frozen=True)
class Evidence:
    """What a recording says.

    findings   the most telling shake first; at least one, if only `nothing`
    estimates  by name: "circumference", "circumference front", "axle ratio", "joint spacing" ...
    next_step  what would tell most
    limits     what this recording cannot tell, in sentences
    """

    findings: tuple[Finding, ...]
    estimates: Mapping[str, Estimate]
    next_step: NextStep
    limits: tuple[str, ...] = ()

    def _repr_html_(self) -> str:
        rows = [(one.kind, one.cause, f"{100 * one.confidence:.0f} %") for one in self.findings]
        return shown_as_html("What the vehicle said", ("kind", "cause", "sure"), rows, str(self.next_step))
