"""Den Hartog and his relatives: the optima that frequency response asks for, one published formula each.

One host (mass, spring) carries one damper.  Throughout
    mass_ratio     u = damper's mass / host's effective mass
    tuning         f = w_damper / w_host, both taken alone
    damping_ratio  z = c / (2 m w_damper), over the damper's OWN critical damping
    g              frequency / w_host
They are where a search starts: the other modes of a vehicle pull the best damper away from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from typing import Literal, get_args

Closed = Literal["both", "left", "right", "neither"]
Criterion = Literal[
    "force_displacement", "force_acceleration", "base_relative_displacement", "base_absolute_acceleration"
]

FIXED_POINT_MASS_RATIO = 0.5  # above it the fixed points say too little of the peaks (0.8 % at 0.5 already)
EXACT_MASS_RATIO = 1.0  # what is exact at any mass is tested as far as a damper as heavy as its host


@dataclass(frozen=True)
class Optimum:
    """A damper that is best by one criterion.

    source         author, year and criterion
    mass_ratio     u [-]
    tuning         f [-], w_damper / w_host
    damping_ratio  z [-], c / (2 m w_damper)
    peak           [-] published height of the host's response over its static one; None where there is none
    """

    source: str
    mass_ratio: float
    tuning: float
    damping_ratio: float
    peak: float | None = None


def require(name: str, value: float, low: float, high: float, closed: Closed = "right") -> None:
    """Refuse a value outside a formula's range; not-a-number is outside every range.

    name    as the caller's signature spells it [-]
    value   [any unit]
    low     [as value]
    high    [as value]
    closed  which ends belong to the range [-]
    raises  ValueError naming the range and the value

    >>> require("mass_ratio", 0.7, 0.0, 0.5)
    Traceback (most recent call last):
    ValueError: mass_ratio must lie in (0, 0.5], got 0.7
    """
    above = low <= value if closed in ("both", "left") else low < value
    below = value <= high if closed in ("both", "right") else value < high
    if not (above and below):
        left, right = "[" if closed in ("both", "left") else "(", "]" if closed in ("both", "right") else ")"
        raise ValueError(f"{name} must lie in {left}{low:g}, {high:g}{right}, got {value!r}")


def fixed_points(mass_ratio: float) -> tuple[float, float]:
    """Frequencies at which the host's response does not depend on the damping, for f = 1 / (1 + u).

        g^2 = (1 -/+ sqrt(u / (2 + u))) / (1 + u)

    mass_ratio  u [-], 0 < u <= 0.5
    returns     lower and upper g [-], over the host's natural frequency

    Force on an undamped host, its displacement watched.
    Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.3; from memory.

    >>> [round(g, 6) for g in fixed_points(0.05)]
    [0.896462, 1.049342]
    """
    require("mass_ratio", mass_ratio, 0, FIXED_POINT_MASS_RATIO)
    apart = sqrt(mass_ratio / (2 + mass_ratio))
    return sqrt((1 - apart) / (1 + mass_ratio)), sqrt((1 + apart) / (1 + mass_ratio))


def fixed_point_height(mass_ratio: float) -> float:
    """Height of the two fixed points when the tuning has made them equal.

        R = sqrt(1 + 2 / u)

    mass_ratio  u [-], 0 < u <= 0.5
    returns     R [-], displacement over static displacement

    The peak swept with Brock's damping is higher, by 0.02 % at u = 0.01, 0.3 % at 0.2 and 0.8 % at 0.5: that
    damping is the mean of two, so neither fixed point is exactly a maximum.
    Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.3; from memory.

    >>> round(fixed_point_height(0.05), 6)
    6.403124
    """
    require("mass_ratio", mass_ratio, 0, FIXED_POINT_MASS_RATIO)
    return sqrt(1 + 2 / mass_ratio)


def den_hartog(mass_ratio: float) -> Optimum:
    """Fixed points made equal and, in the mean, maxima: the classic damper for an undamped host.

        f = 1 / (1 + u)        z = sqrt(3 u / (8 (1 + u)))

    mass_ratio  u [-], 0 < u <= 0.5
    returns     Optimum [-]; its peak is `fixed_point_height`

    Force on the host, its displacement watched.
    Source: J. E. Brock, J. Appl. Mech. 13, A-284 (1946), as in J. P. Den Hartog, Mechanical Vibrations,
    4th edition 1956, section 3.3; from memory.

    >>> best = den_hartog(0.05)
    >>> round(best.tuning, 6), round(best.damping_ratio, 6)
    (0.952381, 0.133631)
    """
    peak = fixed_point_height(mass_ratio)
    damping_ratio = sqrt(3 * mass_ratio / (8 * (1 + mass_ratio)))
    return Optimum("Den Hartog and Brock", mass_ratio, 1 / (1 + mass_ratio), damping_ratio, peak)


def damping_over_host(damping_ratio: float, tuning: float) -> float:
    """The same dashpot in the convention of books that divide by the HOST's frequency.

        c / (2 m w_host) = f c / (2 m w_damper) = f z

    damping_ratio  z [-], c / (2 m w_damper), z >= 0
    tuning         f [-], w_damper / w_host, f > 0
    returns        c / (2 m w_host) [-]

    Den Hartog prints this one, hence (1 + u)^3 under his root; taking one for the other is wrong by 1 + u.
    Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.3; from memory.

    >>> best = den_hartog(0.05)
    >>> round(damping_over_host(best.damping_ratio, best.tuning), 6)
    0.127267
    """
    require("damping_ratio", damping_ratio, 0, inf, "left")
    require("tuning", tuning, 0, inf, "neither")
    return tuning * damping_ratio


def constant_tuning(mass_ratio: float) -> Optimum:
    """The best damping where the damper is tuned to the host's own frequency, come what may.

        f = 1        q = sqrt(u / (u + 2))
        z = sqrt(u (u + 3) (1 + q) / (8 (1 + u)))        R = 1 / ((1 + u) q - u)

    mass_ratio  u [-], 0 < u <= 1
    returns     Optimum [-]; its peak is the swept one, exactly: the lower fixed point is made a maximum

    Beyond u = sqrt(2) - 1, where R = 3 + 2 sqrt(2), more mass at this tuning makes the peak HIGHER.
    Force on an undamped host, its displacement watched.
    Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.3, near equation 3.33;
    from memory.

    >>> best = constant_tuning(0.05)
    >>> round(best.damping_ratio, 6), round(best.peak, 6)
    (0.144879, 8.77328)
    """
    require("mass_ratio", mass_ratio, 0, EXACT_MASS_RATIO)
    u, apart = mass_ratio, sqrt(mass_ratio / (mass_ratio + 2))
    damping_ratio = sqrt(u * (u + 3) * (1 + apart) / (8 * (1 + u)))
    return Optimum("Den Hartog, constant tuning", u, 1.0, damping_ratio, 1 / ((1 + u) * apart - u))


def warburton_harmonic(mass_ratio: float, criterion: Criterion) -> Optimum:
    """Fixed-point optima for a harmonic push, by what is pushed and what is watched.

        force, displacement          f = 1/(1+u)            z^2 = (3u/8)/(1+u)            R = sqrt(1 + 2/u)
        force, acceleration          f = 1/sqrt(1+u)        z^2 = (3u/8)/(1+u/2)          R = sqrt(2/(u(1+u)))
        base acc., relative displ.   f = sqrt(1-u/2)/(1+u)  z^2 = (3u/8)/((1+u)(1-u/2))   R = (1+u) sqrt(2/u)
        base acc., absolute acc.     as force, displacement

    mass_ratio  u [-], 0 < u <= 0.5
    criterion   one of the four [-]; force_acceleration also serves a rotating unbalance, displacement watched
    returns     Optimum [-]; its peak is R, the height of the fixed points: displacement over force/stiffness,
                acceleration over force/mass, relative displacement over base acceleration/w_host^2,
                absolute over base acceleration

    The swept peak lies above R: for force_acceleration by 0.7 % at u = 0.05, 1.4 % at 0.1 and 7.6 % at 0.5;
    for the others by no more than 0.2 % at 0.1 and 1 % at 0.5.
    Source: G. B. Warburton, Earthquake Eng. Struct. Dyn. 10, 381-401 (1982), table of optima for an undamped
    host; from memory.

    >>> best = warburton_harmonic(0.05, "force_acceleration")
    >>> round(best.tuning, 6), round(best.damping_ratio, 6), round(best.peak, 6)
    (0.9759, 0.13525, 6.172134)
    """
    require("mass_ratio", mass_ratio, 0, FIXED_POINT_MASS_RATIO)
    if criterion not in get_args(Criterion):
        raise ValueError(f"criterion must be one of {', '.join(get_args(Criterion))}, got {criterion!r}")
    u = mass_ratio
    tuning, over, peak = 1 / (1 + u), 1 + u, sqrt(1 + 2 / u)
    if criterion == "force_acceleration":
        tuning, over, peak = 1 / sqrt(1 + u), 1 + u / 2, sqrt(2 / (u * (1 + u)))
    elif criterion == "base_relative_displacement":
        tuning, over, peak = sqrt(1 - u / 2) / (1 + u), (1 + u) * (1 - u / 2), (1 + u) * sqrt(2 / u)
    return Optimum(f"Warburton 1982, {criterion}", u, tuning, sqrt(3 * u / 8 / over), peak)


def nishihara_asami(mass_ratio: float) -> Optimum:
    """The exact minimum of the largest response: both peaks equal and as low as they go.

        s = sqrt(4 + 3 u)
        f = 2/(1+u) sqrt(2 (16 + 23 u + 9 u^2 + 2 (2 + u) s) / (3 (64 + 80 u + 27 u^2)))
        z = 1/4 sqrt((8 + 9 u - 4 s) / (1 + u))
        R = (16 + 9 u + 4 s) / (3 sqrt(u (16 + 9 u + 8 s)))

    mass_ratio  u [-], 0 < u <= 1
    returns     Optimum [-]; its peak is the swept one, exactly

    Force on an undamped host, its displacement watched.  For 8 + 9 u - 4 s the code has its equal
    3 u (3 s + 2) / (s + 2), which loses no digits for a light damper.
    Source: O. Nishihara, T. Asami, J. Vib. Acoust. 124(4), 576-582 (2002); f, z from memory, abstract seen.
    That R is algebraic is the paper's result; in this form it is derived here from f and z, by making the
    squared response touch one level at two frequencies.

    >>> best = nishihara_asami(0.05)
    >>> round(best.tuning, 6), round(best.damping_ratio, 6), round(best.peak, 6)
    (0.952372, 0.133938, 6.407921)
    """
    require("mass_ratio", mass_ratio, 0, EXACT_MASS_RATIO)
    u, s = mass_ratio, sqrt(4 + 3 * mass_ratio)
    above, below = 16 + 23 * u + 9 * u**2 + 2 * (2 + u) * s, 64 + 80 * u + 27 * u**2
    tuning = 2 / (1 + u) * sqrt(2 * above / (3 * below))
    damping_ratio = sqrt(3 * u * (3 * s + 2) / ((s + 2) * (1 + u))) / 4
    peak = (16 + 9 * u + 4 * s) / (3 * sqrt(u * (16 + 9 * u + 8 * s)))
    return Optimum("Nishihara and Asami 2002", u, tuning, damping_ratio, peak)


def white_noise_force(mass_ratio: float) -> Optimum:
    """The least r.m.s. displacement of an undamped host pushed by white noise.

        f = sqrt(1 + u/2) / (1 + u)        z = sqrt(u (1 + 3u/4) / (4 (1 + u) (1 + u/2)))

    mass_ratio  u [-], 0 < u <= 1
    returns     Optimum [-], without a peak: an r.m.s. value is made least, not a height

    Source: G. B. Warburton, Earthquake Eng. Struct. Dyn. 10, 381-401 (1982), white noise; the criterion is
    that of S. H. Crandall, W. D. Mark, Random Vibration in Mechanical Systems (1963); both from memory.

    >>> best = white_noise_force(0.05)
    >>> round(best.tuning, 6), round(best.damping_ratio, 6)
    (0.964212, 0.109772)
    """
    require("mass_ratio", mass_ratio, 0, EXACT_MASS_RATIO)
    u = mass_ratio
    damping_ratio = sqrt(u * (1 + 3 * u / 4) / (4 * (1 + u) * (1 + u / 2)))
    return Optimum("Warburton 1982, white-noise force", u, sqrt(1 + u / 2) / (1 + u), damping_ratio)


def white_noise_base(mass_ratio: float) -> Optimum:
    """The least r.m.s. displacement, relative to a base that accelerates as white noise.

        f = sqrt(1 - u/2) / (1 + u)        z = sqrt(u (1 - u/4) / (4 (1 + u) (1 - u/2)))

    mass_ratio  u [-], 0 < u <= 1
    returns     Optimum [-], without a peak: an r.m.s. value is made least, not a height

    Undamped host.  Its ABSOLUTE acceleration on such a base is `white_noise_force` over again.
    Source: as `white_noise_force`; from memory.

    >>> best = white_noise_base(0.05)
    >>> round(best.tuning, 6), round(best.damping_ratio, 6)
    (0.940401, 0.109806)
    """
    require("mass_ratio", mass_ratio, 0, EXACT_MASS_RATIO)
    u = mass_ratio
    damping_ratio = sqrt(u * (1 - u / 4) / (4 * (1 + u) * (1 - u / 2)))
    return Optimum("Warburton 1982, white-noise base", u, sqrt(1 - u / 2) / (1 + u), damping_ratio)
