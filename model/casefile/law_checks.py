"""What a case file says against itself about forces that are not proportional."""

from __future__ import annotations

from collections.abc import Iterator

from .key_faults import Finding
from .lines import Key
from .schema import CaseFile
from .vehicle_keys import AxleTable


def law_findings(file: CaseFile) -> Iterator[Finding]:
    """All contradictions between the laws asked for and the axles, of a file whose keys were read."""
    axles = file.axle.values()
    lacking = {
        "leaf friction": "" if any(a.spring == "leaf" for a in axles) else 'an axle with spring = "leaf"',
        "lift-off": "an axle with tyres" if all(a.massless for a in axles) else "",
    }
    for index, law in enumerate(file.vehicle.laws):
        if wanted := lacking.get(law):
            key: Key = ("vehicle", "laws", index)
            yield Finding(key, f'"{law}"', f"{wanted}, and there is none", others=(("axle",),))
    for name, axle in file.axle.items():
        yield from _leaves(("axle", name), axle)
        yield from _shocks(("axle", name), axle)


def _leaves(key: Key, axle: AxleTable) -> Iterator[Finding]:
    if axle.friction and axle.spring != "leaf":
        wanted = 'spring = "leaf" beside it: it is the friction between leaves'
        yield Finding((*key, "friction"), "", wanted, others=((*key, "spring"),), example='spring = "leaf"')
    static, small = axle.static_spring_rate, axle.spring_rate
    if axle.spring == "leaf" and static and small and static.value >= small.value:
        wanted = f"less than spring_rate, {small.value:g} N/m: friction makes leaves stiffer for small shakes"
        given, hangs_on = f"{static.value:g} N/m", ((*key, "spring_rate"), (*key, "spring"))
        yield Finding((*key, "static_spring_rate"), given, wanted, others=hangs_on)


def _shocks(key: Key, axle: AxleTable) -> Iterator[Finding]:
    """Damping is the mean of both ways: beside one it gives the other, beside both it is one too many."""
    ways = {"compression_damping": axle.compression_damping, "rebound_damping": axle.rebound_damping}
    given = [(name, reading.value) for name, reading in ways.items() if reading]
    mean = axle.damping.value if axle.damping else None
    if len(given) == 2 and mean is not None:
        wanted = "compression_damping and rebound_damping give it: leave it out"
        yield Finding((*key, "damping"), "", wanted, others=tuple((*key, name) for name in ways))
    elif given and mean is not None and given[0][1] >= 2 * mean:
        (name, value), hangs_on = given[0], ((*key, "damping"),)
        wanted = f"less than twice damping, the mean of both ways, which is {mean:g} N*s/m"
        yield Finding((*key, name), f"{value:g} N*s/m", wanted, others=hangs_on)
