"""How the doubt about a number is narrowed: what to measure; common practice, no source."""

from __future__ import annotations

MEASURE = {
    "frame": "the frame: hang a weight on the rear end, snap it off and record the ring-down there, or give "
    "the rail's height, flange and thickness",
    "spring": "the {name} spring: load it with a known weight and measure how far it gives, and say what a "
    "small push shows",
    "tyre": "the {name} tyres: size, pressure when cold, and the load on the axle",
    "unsprung": "the {name} axle: weigh what hangs below its springs, or look up its parts",
    "shock": "the {name} axle's own hop: a drive over a rough patch with a sensor on the axle",
    "rolling": "how far the {name} wheels roll in a turn: a chalk mark, ten turns and a tape",
    "load": "the {name} axle: its load on a scale, laden as when it shakes",
    "mounts": "the {name} mounts: their drawing, or a push and how far they give",
    "body": "the {name}: its weight and where it sits",
    "sills": "the {name} sills: their length, their section, and how they are held to the frame",
    "lengthwise": "how the weight lies along the vehicle: a bill of masses with their stations",
}
ON_AXLE = {  # words of a number's path -> what to measure
    "spring": ("spring", "deflection", "shake", "air"),
    "tyre": ("tyre", "pressure"),
    "unsprung": ("unsprung",),
    "load": ("load",),
    "shock": ("damping",),
    "rolling": ("circumference",),
}
OF_BODY = {"mounts": ("mount",), "sills": ("composite_action", "bending_stiffness", "length")}


def how_to_measure(path: str) -> str:
    """What to measure where a number, by its resolver's path, carries most of the doubt.

    >>> how_to_measure("axle.rear.pressure")
    'the rear tyres: size, pressure when cold, and the load on the axle'
    >>> how_to_measure("body.cab.mount.2.rate")
    'the cab mounts: their drawing, or a push and how far they give'
    >>> how_to_measure("body.box.composite_action")
    'the box sills: their length, their section, and how they are held to the frame'
    """
    kind, name = _kind_and_name(path)
    return MEASURE[kind].format(name=name) if kind else path.replace(".", " ").replace("_", " ")


def _kind_and_name(path: str) -> tuple[str, str]:
    first, *rest = path.split(".")
    name, last = (rest[0], rest[-1]) if len(rest) > 1 else ("", rest[-1] if rest else "")
    if first == "axle":
        return next((kind for kind, words in ON_AXLE.items() if any(w in last for w in words)), ""), name
    if first == "body":
        what = ".".join(rest[1:])
        return next((kind for kind, words in OF_BODY.items() if any(w in what for w in words)), "body"), name
    return {"frame": "frame", "vehicle": "lengthwise"}.get(first, ""), name
