"""What many vehicles say of each datum: their modes followed by likeness of shape, beside what was found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .datum import OF_AN_AXLE, Datum
from .matrices import Matrices, matrices
from .modes import undamped
from .numbers import NORMAL_95
from .plan import Plan
from .plausible import Plausible
from .points import dense

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LOCKED, LOCKED_SCATTER = 1.4, 0.6  # a leaf at standstill over one that rolls; common practice, no source
LOCKED_PATH = "standstill.leaf_factor"  # under which its score goes: no number of the vehicle on the road
MODEL_ERROR: Mapping[str, float] = {
    "natural frequency": 0.01,
    "damping ratio": 0.2,
    "effective mass": 0.05,
    "critical speed": 0.01,
    "shape": 0.05,
    "frequency with a weight": 0.005,
}
"""How far a model whose numbers are right may still be off, half a 95 % interval as a share: frames are no
beams.  Common practice, no source."""
NOTHING = 1e-3  # [rad/s]
STEPS = 3  # from an undamped mode to its pole: each about doubles the digits


@dataclass(frozen=True)
class Followed:
    """One mode of many vehicles, V of them.

    undamped  [rad/s] (V,)
    pole      [1/s] (V,), the one that oscillates
    shape     M-orthonormal, undamped (V, n)
    """

    undamped: Floats
    pole: Complexes
    shape: Floats

    @property
    def frequency(self) -> Floats:
        """|pole| / 2 pi [Hz], (V,)."""
        return np.asarray(np.abs(self.pole) / (2 * np.pi))

    @property
    def damping_ratio(self) -> Floats:
        """Share of critical damping [-], (V,)."""
        return np.asarray(-self.pole.real / np.abs(self.pole))


def followed(system: Matrices, like: Floats) -> Followed:
    """The mode of each vehicle whose shape is most like a given one.

    system  of many vehicles
    like    (n,) shape, in any unit [-]

    >>> from .example import small_truck
    >>> from .modes import modes
    >>> from .plausible import Plausible
    >>> one, found = matrices(small_truck()), modes(small_truck())
    >>> many = replace(one, M=one.M[None], C=one.C[None], K=one.K[None])
    >>> bool(np.isclose(followed(many, found.shapes[:, 3]).pole[0], found.poles[3, 0]))
    True
    """
    natural, shapes = undamped(system)
    alike = np.abs(np.swapaxes(shapes, -1, -2) @ (system.M @ like)[..., None])[..., 0]
    which = alike.argmax(axis=-1)[:, None]
    own = np.take_along_axis(natural, which, axis=-1)[:, 0]
    shape = np.take_along_axis(shapes, which[:, None], axis=-1)[..., 0]
    return Followed(own, _pole(system, own, shape), shape)


def _pole(system: Matrices, natural: Floats, shape: Floats) -> Complexes:
    """From an undamped mode to its damped pole by inverse iteration [1/s], (V,)."""
    natural = np.maximum(natural, NOTHING)  # a vehicle on its way may be one that nothing holds
    lost = np.minimum(_squared(shape, system.C) / (2 * natural), 0.9)
    pole = natural * (-lost + 1j * np.sqrt(1 - lost**2))
    vector = shape.astype(complex)
    for _ in range(STEPS):
        at = (pole * (1 + 1e-9))[:, None, None]  # beside it: at the pole itself nothing can be solved
        dynamic = at**2 * system.M + at * system.C + system.K
        pushed = ((2 * at * system.M + system.C) @ vector[..., None])[..., 0]
        vector = np.linalg.solve(dynamic, pushed[..., None])[..., 0]
        vector = vector / np.linalg.norm(vector, axis=-1, keepdims=True)
        a, b, c = (_squared(vector, one) for one in (system.M, system.C, system.K))
        root = np.sqrt(b**2 - 4 * a * c + 0j)
        both = np.stack([-b + root, -b - root]) / (2 * a)
        pole = np.where(np.abs(both[0] - pole) < np.abs(both[1] - pole), *both)
    return np.asarray(np.where(pole.imag < 0, pole.conj(), pole))


def _squared(shape: NDArray[Any], matrix: Floats) -> NDArray[Any]:
    return np.asarray((shape * (matrix @ shape[..., None])[..., 0]).sum(axis=-1))


def standing(plan: Plan, many: Plausible, locked: Any) -> Matrices:
    """The matrices of many vehicles at standstill: leaves that their own friction holds are stiffer.

    locked  leaves at standstill over leaves on the road [-], a float or (V,)
    """
    leaves = {f"{axle.name} spring" for axle in plan.axles if axle.springing == "leaf"}
    parts = [
        replace(part, value=part.value * locked) if part.name in leaves and part.kind == "spring" else part
        for part in many.vehicle.parts
    ]
    system, found = many.system, matrices(replace(many.vehicle, parts=tuple(parts)))
    m, c, k = (np.broadcast_to(a, system.K.shape) for a in (found.M, found.C, found.K))
    return replace(system, M=m, C=c, K=k)


def locked(score: Any) -> Any:
    """How much stiffer a leaf is at standstill [-].

    score  [-] standard deviations off the best estimate

    >>> round(float(locked(0.0)), 2), round(float(locked(1.96)), 2)
    (1.4, 2.24)
    """
    return LOCKED * np.exp(np.log1p(LOCKED_SCATTER) / NORMAL_95 * score)


def logarithm(
    datum: Datum, many: Plausible, system: Matrices, mode: Followed | None, numbers: Any, meets: Any
) -> Floats:
    """ln of what each vehicle says in place of a datum that is one number, (V,) [-].

    system   in the datum's condition
    mode     that the datum is of
    numbers  the resolver of these vehicles
    meets    [1/m] cycles per metre at which its cause is met: those of the cause over peak / coincidence
    """
    if datum.what in OF_AN_AXLE:
        told = numbers[f"axle.{datum.axle}.{OF_AN_AXLE[datum.what]}"]
        return np.asarray(np.log(np.broadcast_to(told, (len(many),))))
    assert mode is not None
    if datum.what == "natural frequency":
        return np.asarray(np.log(mode.frequency))
    if datum.what == "damping ratio":
        return np.asarray(np.log(np.maximum(mode.damping_ratio, 1e-6)))
    if datum.what == "critical speed":
        return np.asarray(np.log(mode.frequency) - np.log(meets))
    row = dense([many.vehicle.points[datum.point or ""].row], system.coordinates)[..., 0, :]
    if datum.what == "effective mass":
        rise = (row * mode.shape).sum(axis=-1)
        return np.asarray(-2 * np.log(np.maximum(np.abs(rise), 1e-9)))
    heavier = system.M + (datum.mass or 0.0) * row[..., :, None] * row[..., None, :]
    after = followed(replace(system, M=heavier), mode.shape.mean(axis=0))
    return np.asarray(np.log(after.frequency / mode.frequency))


def meeting(many: Plausible, per_metre: float, order: float, axle: str | None) -> Any:
    """Cycles per metre of a cause [1/m], a float or (V,): a wheel's depend on how far it
    rolls in a turn.

    per_metre  of the best estimate [1/m]
    order      of the cause [-]
    axle       whose wheel it is; None: none's
    """
    for one in many.vehicle.axles:
        if one.name == axle and one.circumference is not None:
            return order / np.asarray(one.circumference)
    return per_metre


def motion(datum: Datum, many: Plausible, mode: Followed) -> tuple[Floats, Floats]:
    """A measured shape turned to where it is most real, of unit length, (P,), and what each vehicle says of
    these points, best scaled to it, (V, P) [-]."""
    found = np.array(list(datum.shape.values()), dtype=complex)
    turned = found * np.exp(-0.5j * np.angle((found**2).sum()))
    measured = turned.real / np.linalg.norm(found)
    rows = dense([many.vehicle.points[name].row for name in datum.shape], many.system.coordinates)
    said = (rows @ mode.shape[..., None])[..., 0]
    scale = (said @ measured) / np.maximum((said**2).sum(axis=-1), 1e-300)
    return measured, np.asarray(said * scale[:, None])


def assurance(measured: Mapping[str, complex], said: Sequence[float]) -> float:
    """Modal assurance criterion of a measured shape and a computed one [-]: 1 for the same shape.

    measured  at points, complex, in any unit
    said      at the same points, in any unit [-]

        |p . a|^2 / (|p|^2 |a|^2)

    Source: R. J. Allemang, D. L. Brown, Proc. 1st Int. Modal Analysis Conf. (1982) 110-116 (from memory).

    >>> assurance({"front": 1 + 0j, "rear": -2 + 0j}, [0.5, -1.0])
    1.0
    >>> assurance({"front": 1 + 0j, "rear": 1 + 0j}, [1.0, -1.0])
    0.0
    """
    a, p = np.array(list(measured.values()), dtype=complex), np.asarray(said, dtype=float)
    return min(float(abs(p @ a) ** 2 / ((p @ p) * (a @ a.conj()).real)), 1.0)


def error(datum: Datum, model: Mapping[str, float] = MODEL_ERROR) -> float:
    """One standard deviation of a datum's logarithm (of a shape: of its unit length) [-], with the model's.

    model  how far a right model may be off, half a 95 % interval as a share [-]

    >>> round(error(Datum("natural frequency", 8.0, 0.16), {}), 4)
    0.0101
    """
    own = datum.half / datum.value if datum.what != "shape" else datum.half
    return float(np.hypot(np.log1p(own), np.log1p(model.get(datum.what, 0.0))) / NORMAL_95)
