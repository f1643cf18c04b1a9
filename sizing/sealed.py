"""A prediction sealed before the fix, so that nobody can say afterwards that they knew it all along.

What is sealed is what can be measured: at one place, what the wheels and the joints do there, speed by speed,
before and with the damper, for the best estimate and for some of the plausible vehicles.  A hash over all of
it shows whether anything was changed later.  It does not stop whoever makes a new hash as well: who wants to
convince another person hands over the hash on the day of the seal.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..model.faults import CounterbounceError, Fault
from .absorber import Damper
from .assess import Assessment
from .study import loud
from .survey import SHARE

Floats = NDArray[np.float64]

KIND, HASH = "sealed prediction of counterbounce, 1", "sha256"
KEPT = 60  # plausible vehicles that are sealed along
STEP = 1 / 3.6  # [m/s] from speed to speed
DIGITS = 6


@dataclass(frozen=True)
class Sealed:
    """A prediction as it was sealed.

    at         when, as a date and time of day in UTC
    damper     which one; its place, and the place where the shake is judged
    speeds     [m/s] (S,) over the band in which it is judged
    lines      [1/m] that follow the road: what the levels are made of
    best       (2, S) [m/s^2] r.m.s. before and with the damper, best estimate
    plausible  (V, 2, S) [m/s^2] the same for vehicles that the numbers allow, each counting alike
    """

    case: str
    case_sha256: str
    version: str
    at: str
    damper: Damper
    point: str
    speeds: Floats
    lines: tuple[float, ...]
    best: Floats
    plausible: Floats
    sha256: str

    @property
    def band(self) -> tuple[float, float]:
        """Where it is to be measured [m/s]."""
        return float(self.speeds[0]), float(self.speeds[-1])

    def reduction(self, speeds: Floats, weight: Floats) -> tuple[float, Floats]:
        """By how much the level falls over some speeds [-]: best estimate, and each plausible vehicle (V,).

        speeds  [m/s] that were driven
        weight  [-] how much each counts
        """
        levels = np.concatenate([self.best[None], self.plausible])
        along = [[np.interp(speeds, self.speeds, curve) for curve in both] for both in levels]
        powers = np.asarray(along) ** 2 @ weight
        fall = 1 - np.sqrt(powers[:, 1] / powers[:, 0])
        return float(fall[0]), np.asarray(fall[1:])


def interval(plausible: Floats) -> tuple[float, float]:
    """Where 90 of 100 plausible values lie [their unit].

    plausible  (V,) [any]

    >>> [round(end, 3) for end in interval(np.linspace(0.0, 1.0, 1001))]
    [0.05, 0.95]
    """
    low, high = np.quantile(plausible, [(1 - SHARE) / 2, (1 + SHARE) / 2])
    return float(low), float(high)


# --- sealing ---------------------------------------------------------------------------------------------


def seal(found: Assessment, version: str, now: datetime | None = None) -> str:
    """The text of a sealed prediction.  Raises CounterbounceError where the assessment has no damper.

    >>> from ..model.example import small_case
    >>> from .assess import assess
    >>> held = opened(seal(assess(small_case()), "0"))
    >>> held.damper.place, round(held.reduction(held.speeds, np.ones_like(held.speeds))[0], 1)
    ('rear end', 0.6)
    """
    target, survey = found.host.target, found.survey
    if found.sized is None or survey is None or target is None:
        wanted = f"no damper was sized, so there is nothing to seal: {found.verdict.sentence}"
        raise CounterbounceError([Fault(str(found.case.path), None, "--seal", "", wanted)])
    c, hung = found.sized.comparison, found.sized.found.damper
    point = target.critical.point or c.point
    speeds = np.linspace(*c.band, max(round((c.band[1] - c.band[0]) / STEP), 1) + 1)
    row = [one.name for one in c.points].index(point.name)
    best = [np.interp(speeds, c.speeds, level[:, row]) for level in (c.before, c.after)]
    curves = survey.curves[_evenly(survey.weight)]
    plausible = [[np.interp(speeds, survey.speeds, curve) for curve in both] for both in curves]
    told: dict[str, Any] = {
        "kind": KIND,
        "sealed_at_utc": (now or datetime.now(UTC)).isoformat(timespec="seconds"),
        "version": version,
        "case": found.case.name,
        "case_sha256": found.case.sha256,
        "damper": {"place": hung.place, "mass_kg": hung.mass, "stiffness_n_m": hung.stiffness,
                   "damping_n_s_m": hung.damping},
        "point": point.name,
        "speeds_m_s": speeds.tolist(),
        "lines_per_metre": sorted({one.per_metre for one in loud(found.host)}),
        "best_m_s2": np.array(best).tolist(),
        "plausible_m_s2": np.array(plausible).tolist(),
        "interval_share": SHARE,
    }  # fmt: skip
    told = _rounded(told)
    return json.dumps({HASH: _hash(told), **told}, ensure_ascii=False) + "\n"


def _evenly(weight: Floats) -> NDArray[np.intp]:
    """Vehicles that count alike and stand for all of them: each as often as its weight says (V,)."""
    marks = (np.arange(KEPT) + 0.5) / KEPT
    return np.minimum(np.searchsorted(np.cumsum(weight), marks), len(weight) - 1)


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, list):
        return [_rounded(one) for one in value]
    return {key: _rounded(one) for key, one in value.items()} if isinstance(value, dict) else value


def _hash(told: Mapping[str, Any]) -> str:
    """Over everything but the hash itself, however it is laid out."""
    body = {key: value for key, value in told.items() if key != HASH}
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


# --- opening ---------------------------------------------------------------------------------------------


def read_sealed(path: str | Path) -> Sealed:
    """A sealed prediction out of a file.  Raises CounterbounceError for one that is none, or was changed."""
    try:
        text = Path(path).read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise _fault(path, f"cannot be read: {' '.join(str(error).split())}") from None
    return opened(text, str(path))


def opened(text: str, file: str = "") -> Sealed:
    """The same out of its text."""
    told = json_object(text, file)
    if told.get("kind") != KIND:
        raise _fault(file, "is no sealed prediction: wanted what `assess --seal` writes")
    if told.get(HASH) != _hash(told):
        raise _fault(file, "was changed after it was sealed: its hash no longer fits what it says")
    try:
        return _sealed(told)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise _fault(file, "lacks something that `assess --seal` writes") from None


def _sealed(told: Mapping[str, Any]) -> Sealed:
    damper = told["damper"]
    return Sealed(
        told["case"],
        told["case_sha256"],
        told["version"],
        told["sealed_at_utc"],
        Damper(damper["place"], damper["mass_kg"], damper["stiffness_n_m"], damper["damping_n_s_m"]),
        told["point"],
        np.array(told["speeds_m_s"]),
        tuple(told["lines_per_metre"]),
        np.array(told["best_m_s2"]),
        np.array(told["plausible_m_s2"]),
        told[HASH],
    )


def json_object(text: str, file: str) -> dict[str, Any]:
    """An object of JSON.  Raises CounterbounceError for anything else."""
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise _fault(file, "is no object of JSON")
    return told


def _fault(path: str | Path, wanted: str) -> CounterbounceError:
    return CounterbounceError([Fault(str(path), None, "", "", wanted)])
