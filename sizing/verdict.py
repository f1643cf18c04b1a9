"""Does it help, by how much, how surely; if not, why, and what to do instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class Outcome(StrEnum):
    """Every answer there is; "no" is one of them, each with its own reason."""

    HELPS = "helps"
    UNSURE = "unsure"
    INSPECT_FIRST = "inspect_first"
    OUTSIDE_THE_MODEL = "outside_the_model"
    REFER_TO_ENGINEER = "refer_to_engineer"
    NOT_A_RESONANCE = "not_a_resonance"
    WRONG_PLACE = "wrong_place"
    WRONG_FREQUENCY = "wrong_frequency"
    TOO_LITTLE_MASS = "too_little_mass"
    STROKE = "stroke"
    RATINGS = "ratings"
    WORSE_ELSEWHERE = "worse_elsewhere"
    BALLAST_DOES_AS_WELL = "ballast_does_as_well"


@dataclass(frozen=True)
class Verdict:
    """One outcome with its sentence, the next thing to do, and the numbers behind it.

    >>> say(Outcome.INSPECT_FIRST, "loose", why="The shake feeds itself.", do="Stop.").sentence
    'The shake feeds itself. No damper before the vehicle has been inspected.'
    """

    outcome: Outcome
    sentence: str
    next_step: str
    facts: Mapping[str, object] = field(default_factory=dict)

    @property
    def good(self) -> bool:
        """Whether the damper is worth hanging on."""
        return self.outcome is Outcome.HELPS


# outcome, variant -> (sentence, next step); filled with facts that are already text
WORDS: dict[tuple[Outcome, str], tuple[str, str]] = {
    (Outcome.HELPS, ""): (
        "A {mass} damper at {place}, tuned to {tuned} with {ratio} damping, lowers the shake at {speed} "
        "by {reduction}; the same weight as plain ballast would change it by {ballast}, and {elsewhere}.",
        "Go through the checks before driving, then measure the shake on one road, fit the damper, and "
        "measure it again there.",
    ),
    (Outcome.UNSURE, "stiffness"): (
        "With the frame bending as estimated a damper at {place} lowers the shake at {speed} by "
        "{reduction}, but {beside}; the frame's stiffness is not measured, so nobody can say yet which "
        "is right.",
        "Measure it: hang a weight on the rear end, snap it off and record the ring-down there, or give "
        "the rail's height, flange and thickness.",
    ),
    (Outcome.UNSURE, "band"): (
        "The model puts {cause} on {mode} at {speed}, and with its spread anywhere from {low} to {high}; "
        "the complaint is at {complaint}. They may be one shake, and they may not.",
        "Narrow the model before buying anything. Measure {narrow}.",
    ),
    (Outcome.UNSURE, "spread"): (
        "On the best estimate a damper at {place} lowers the shake at {speed} by {reduction}; but of the "
        "vehicles that these numbers allow, and that shake where this one does, only {share} would be "
        "helped, even with the damper tuned anew on the vehicle.",
        "Narrow the model before buying anything. Measure {narrow}.",
    ),
    (Outcome.UNSURE, "unheard"): (
        "{cause} meets {mode} at {speed}, inside the complaint, but how strong it is is not known, so no "
        "damper can be judged against it.",
        "Drive there again and let the vehicle coast in neutral at the same speed: a shake that stays "
        "comes from wheels or road, one that goes came from the engine; then record it.",
    ),
    (Outcome.UNSURE, "contradiction"): (
        "What was observed cannot all be so: {contradictions}.",
        "Do those tests again, one change at a time, on one road at one speed and load, and let a second "
        "person feel them.",
    ),
    (Outcome.UNSURE, "weight"): (
        "With {mass} at {place} the model moves the shake from {before} to {after}, but {felt}. It may "
        "not be the shake that the model means.",
        "Repeat the weight test on the same road. Then measure {narrow}.",
    ),
    (Outcome.UNSURE, "pace"): (
        "{cause} meets {mode} {expected} times in a second, but the shake was found to be {felt}. It may not "
        "be the shake that the model means.",
        "Have a phone on the floor say how fast it shakes at {complaint}. Then measure {narrow}.",
    ),
    (Outcome.UNSURE, "not cleared"): (
        "Not cleared yet: {left}. If the cause is no other, a {mass} damper at {place}, tuned to {tuned} "
        "with {ratio} damping, would take {reduction} off the shake at {speed}; the same weight as plain "
        "ballast would change it by {ballast}, and {elsewhere}.",
        "{do}. Write what was found into the case, and ask again; until then hang nothing on.",
    ),
    (Outcome.INSPECT_FIRST, "loose"): (
        "{why} No damper before the vehicle has been inspected.",
        "{do}",
    ),
    (Outcome.INSPECT_FIRST, "frame"): (
        "The frame bends at {frequency}, below what a sound frame does. No damper before the frame has "
        "been inspected.",
        "Have the frame inspected for cracks, loose rivets and loose body mountings, then measure again.",
    ),
    (Outcome.OUTSIDE_THE_MODEL, ""): (
        "A shake felt as {direction} is outside this model, which knows bounce, pitch, hop and bending only.",
        "Have it looked at as {kind}; a damper sized here would be sized for another motion.",
    ),
    (Outcome.REFER_TO_ENGINEER, ""): (
        "A {mass} damper at {place} would lower the shake at {speed} by {reduction}, but a weight of "
        "that size changes the structure it hangs on.",
        "Have a licensed engineer and the vehicle maker's body-builder guide decide on the bracket and "
        "the weight.",
    ),
    (Outcome.NOT_A_RESONANCE, "nothing"): (
        "Nothing that turns, and no joint of this road, meets a natural frequency at {complaint}.",
        "Look for a part that is itself at fault: true and balance the wheels, check the driveline, and "
        "give what is known of run-out, joints and ratios.",
    ),
    (Outcome.NOT_A_RESONANCE, "observed"): (
        "What was observed excludes a mode met by wheels or road ({because}). What remains: {kinds}.",
        "No damper. {do}.",
    ),
    (Outcome.NOT_A_RESONANCE, "pace"): (
        "The shake was found to be {felt}, but {cause} meets {mode} {expected} times in a second: it is "
        "another, faster shake. What remains: {kinds}.",
        "No damper. {do}.",
    ),
    (Outcome.NOT_A_RESONANCE, "damped"): (
        "{cause} meets {mode} at {speed}, but that mode is already damped by {damping}: it hardly "
        "amplifies, and no damper allowed here lowers it by more than {reduction}.",
        "Make what comes in smaller: {remedy}.",
    ),
    (Outcome.WRONG_PLACE, ""): (
        "Where a damper may hang, the best one lowers the shake at {speed} by {reduction}; at {better} "
        "it would be {could}.",
        "See whether {better} can carry a bracket, and add it to the places.",
    ),
    (Outcome.WRONG_FREQUENCY, ""): (
        "Tuned to {tuned} with {ratio} damping, this damper at {place} lowers the shake at {speed} by "
        "{reduction}; tuned to {better} with {better_ratio} it would lower it by {could}.",
        "Retune it: a spring rate of {rate} in all, then check with a ring-down of the damper on the "
        "vehicle.",
    ),
    (Outcome.TOO_LITTLE_MASS, "in hand"): (
        "This damper of {mass} at {place} lowers the shake at {speed} by {reduction}, and no tuning or "
        "allowed place of the same weight reaches the {worth} that is worth the trouble.",
        "More weight, or the input instead: {remedy}.",
    ),
    (Outcome.STROKE, "in hand"): (
        "This damper at {place} would move {stroke} each way when all inputs are at their worst, more "
        "than the room it has.",
        "Give it more room or more damping; a damper that hits its stops is a hammer.",
    ),
    (Outcome.RATINGS, "in hand"): (
        "With {mass} at {place} the {limit} of {rating} is exceeded: {load}.",
        "Take load off or move it first, or hang less.",
    ),
    (Outcome.WORSE_ELSEWHERE, "in hand"): (
        "This damper lowers the shake at {speed} by {reduction}, but {elsewhere}.",
        "Retune it or damp it more: {better} with {better_ratio} would lower the shake by {could} and "
        "keep the other speeds.",
    ),
    (Outcome.TOO_LITTLE_MASS, ""): (
        "With up to {limit} the best damper lowers the shake at {speed} by {reduction}, less than the "
        "{worth} that is worth the trouble; {needed} would do it.",
        "Ask whether the ratings and the mounting allow {needed}; if not, look at the input instead: "
        "{remedy}.",
    ),
    (Outcome.TOO_LITTLE_MASS, "hopeless"): (
        "With up to {limit} the best damper lowers the shake at {speed} by {reduction}, and even four "
        "times that weight does not reach the {worth} that is worth the trouble.",
        "A damper is not the cure. Look at the input: {remedy}.",
    ),
    (Outcome.STROKE, ""): (
        "A damper that would lower the shake at {speed} by {could} has to move {stroke} each way; within "
        "the room given the best one manages {reduction}.",
        "Give it more room, more mass, or a place that moves less.",
    ),
    (Outcome.RATINGS, "before"): (
        "The vehicle is over its {limit} of {rating} before any damper is hung on: it stands at {load}.",
        "Take load off or move it first. No added weight is advised on a vehicle over its ratings.",
    ),
    (Outcome.RATINGS, ""): (
        "The ratings leave room for {room} at {place}; with that the best damper lowers the shake at "
        "{speed} by {reduction}, less than the {worth} that is worth the trouble.",
        "Take load off or move it, or look at the input instead: {remedy}.",
    ),
    (Outcome.WORSE_ELSEWHERE, ""): (
        "A damper that lowers the shake at {speed} by {could} makes it worse at another speed; one that "
        "does not manages {reduction}.",
        "Decide which speeds matter and give the complaint's band accordingly, or allow more mass.",
    ),
    (Outcome.BALLAST_DOES_AS_WELL, ""): (
        "A damper at {place} lowers the shake at {speed} by {reduction}; the same {mass} as plain "
        "ballast does {ballast}.",
        "Try the weight as ballast first: a bag of sand, well secured, tells in one drive. Then ask why "
        "weight helps: pressure, tyres or springs may do it without the weight.",
    ),
    (Outcome.INSPECT_FIRST, "turning"): (
        "The recording says that a part that turns is itself at fault: {cause}{larger}, felt at {speed}, "
        "{sure} sure. No damper before that has been put right.",
        "Look at it before the next drive: {do}. Then record the same drive again.",
    ),
    (Outcome.NOT_A_RESONANCE, "turning"): (
        "The recording says that the shake at {speed} is a part that turns, {cause}{larger}, and no natural "
        "frequency was heard there ({sure} sure).",
        "No damper: {do}. Then record the same drive again.",
    ),
    (Outcome.OUTSIDE_THE_MODEL, "recorded"): (
        "The recording shows {cause}, at {frequency}, {sure} sure: outside this model, which knows bounce, "
        "pitch, hop and bending only.",
        "{do} A damper sized here would be sized for another motion.",
    ),
}


def say(outcome: Outcome, variant: str = "", **facts: object) -> Verdict:
    """A verdict from the facts that its sentence needs, all of them text.

    variant  [-] which of the outcome's sentences; raises KeyError where a fact is missing
    """
    sentence, next_step = WORDS[outcome, variant]
    return Verdict(outcome, _capital(sentence.format(**facts)), _capital(next_step.format(**facts)), facts)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


REMEDY = {
    "wheel": "true the wheels and tyres, match them, and balance them on the hub",
    "joints": (
        "another speed on this pavement, tyre pressure within the load table, or the suspension's "
        "friction and shocks"
    ),
    "wave": "another speed on this road",
    "propshaft": "balance, joint angles and phasing of the propshaft",
    "engine": "engine mounts and idle or gear choice",
}
"""What to look at when the input, and not the mode, is what should change; common practice, no source."""

CAUTIONS: tuple[str, ...] = (
    "Before any drive, check tyres (bulges, damage, pressure), wheel nuts, bearings, steering joints and "
    "lateral link, U-bolts and centre bolt, body and cab mounts, and the frame for cracks.",
    "A shake that starts after a bump and feeds itself: slow down, stop, and have the steering "
    "inspected. It is no case for a damper.",
    "Test with two people: one drives, one notes. No reading of screens while driving, nothing loose in "
    "the cab, no cable near pedals or airbags.",
    "Weight, axle and tyre ratings hold with the damper on. Added weight is payload lost.",
    "Do not drill or weld frame flanges except as the vehicle maker allows (49 CFR 393.201).",
    "The bracket and anything it hangs on must carry the weight at every bump, without play, with a "
    "second retainer and a re-torque date; lights, plate, towing and departure angle stay usable, or the "
    "damper comes off first.",
    "Lead is handled with gloves and never sanded or burnt.",
    "Local codes, the vehicle maker's body-builder guide and a licensed engineer have the last word. "
    "Nothing here says that a part is legal on the road.",
)
