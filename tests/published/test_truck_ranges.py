"""Where the modes of a truck lie, as a check of sense.

Source: ranges for heavy trucks from T. D. Gillespie, Heavy Truck Ride, SAE 850001 (1985), and the UMTRI
literature, from memory: body 1.5 to 4 Hz, axle hop 8 to 15 Hz, vertical bending of the frame 6 to 9 Hz.
Light trucks reach a little lower in the body (1 Hz).
"""

import pytest

from counterbounce.model.modes import modes

RANGES = {"body": (1.0, 4.0), "axle hop": (8.0, 15.0), "frame bending 1": (5.0, 9.0)}


@pytest.mark.parametrize("name", ["half", "bending", "soft bracket", "cab and seat"])
def test_modes_of_invented_trucks(fleet, name):
    found = modes(fleet(name).vehicle)
    seen = set()
    for frequency, named in zip(found.frequency_hz, found.names, strict=True):
        kind = next((k for k in RANGES if k in named.split(" with ")[0]), None)
        if kind:
            seen.add(kind)
            assert RANGES[kind][0] <= frequency <= RANGES[kind][1], named
    assert {"body", "axle hop"} <= seen
    assert ("frame bending 1" in seen) == (fleet(name).vehicle.kind == "bending")
