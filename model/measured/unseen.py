"""What a recording cannot tell, in sentences: what was not recorded, and what would not have been seen."""

from __future__ import annotations

from .judged import Scene

BEATS = 1.5  # periods of two wheels' beat that a pass should hold
ROLLING_SPREAD = 0.003  # [-] by which the wheels of an axle commonly differ; common practice, no source
SHORT = 800.0  # [m] of road below which what turns is told from chance only where it is strong
KMH = 3.6


def limits(scene: Scene, speed_known: bool) -> tuple[str, ...]:
    """What this recording cannot tell, in sentences."""
    said: list[str] = []
    if not speed_known:
        said.append("No road speed: what turns cannot be told from what rings.")
    elif scene.separable < 0.9:
        said.append("The speed hardly changes: what turns and what rings can hardly be told apart.")
    if not any(name.endswith((", left", ", right")) for name in scene.slow.names):
        said.append("No point has a sensor on both sides: left against right cannot be seen.")
    if speed_known:
        said += [*_of_driveline(scene), *_of_road(scene)]
    if any(one.line.family == "joints" for one in scene.turned):
        said.append("The road has joints; without a resonance they are an ordinary input, and no fault.")
    return tuple(said)


def _of_driveline(scene: Scene) -> list[str]:
    """From which speed on a driven shaft would not have been seen."""
    seen, fastest = scene.shaft_seen_to, scene.slow.fastest
    if seen >= fastest:
        return []
    turns = f"{scene.propshaft:.3g}" if scene.propshaft else "about four"
    return [
        f"Nothing above {scene.slow.highest:.0f} Hz is looked at: a shaft that turns {turns} times per turn "
        f"of a wheel is not cleared at {seen * KMH:.0f} to {fastest * KMH:.0f} km/h."
    ]


def _of_road(scene: Scene) -> list[str]:
    """Whether the road was long enough to tell what turns, and two wheels that beat."""
    road, said = float(scene.slow.travelled[-1]), []
    if road < SHORT:
        said.append(f"Only {road:.0f} m of road: what turns is told from chance only where it is strong.")
    around = scene.rolled.circumference
    beat = (around or 0.0) / ROLLING_SPREAD
    if road < BEATS * beat and any(one.line.family == "wheel" for one in scene.turned):
        said.append(
            f"Two wheels may beat once in {beat:.0f} m, and this pass is {road:.0f} m long: a wheel order "
            "may have been caught at its weakest or strongest."
        )
    return said
