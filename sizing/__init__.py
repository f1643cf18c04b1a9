"""From a critical speed to a verdict on a countermeasure.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    closed_form  Den Hartog and his relatives, one published formula each
    closed_form_modes  designs by the two modes, damped primaries, undamped absorbers
    absorber     the tuned mass damper: one more body on a station, and what the station feels of it
    written      a damper from what is known of it: text, SI or quantities
    ratings      axle, tyre and weight limits, and what a weight at a station does to them
    limits       what a damper must keep to, and the place where it is to hang
    lowering     the last variable lowered under constraints: what every minimax here is made of
    minimax      the best tuning, damping and mass at one place, in epigraph form with exact gradients
    search       every station, mass, tuning and damping, without solving the vehicle again
    any_host     any host for a damper, from measured or computed curves, or from modes
    before_after the same questions to two vehicles
    target       which critical speed the complaint is about, and in which band a damper is judged
    narrowing    how the doubt about a number is narrowed: what to measure
    verdict      every outcome with its sentence and the next thing to do
    study        one vehicle, studied: from its plan and numbers to the best damper and what it does
    retune       a damper on the bench and on the vehicle, and what more weight or another spring does
    shake_kinds  kinds of shake, and what each observation excludes and speaks for
    observed     what the observations of a case exclude, and what they leave
    weight_test  a weight over the rear end, computed, beside what was seen
    proof        what would prove an assessment wrong, in numbers that can be measured
    next_test    the test that is expected to tell most per minute
    walk_items   what is looked at on a walk round the vehicle, and what to do where it is bad
    walk_round   the safety gate: what must come before any sizing
    reasons      why a damper does not help, found by taking one limit away at a time
    shakes_heard what recordings say of the complaint: which findings count, and what they clear
    recorded     what recordings do to the verdict: confirmed, or no damper yet
    evidence     what the observations do to the verdict, and what to try next
    split        how much of the complaint is input and how much is vehicle
    freed_leaf   whether a freed leaf, not a damper, is the cure
    cleared      what has to be cleared before a damper is advised, and what the answer is until then
    at_amplitude the vehicle in the band, once the amplitude assumed is the amplitude found
    leaf_first   a leaf before a weight: what the amplitude found means for the answer
    noticed      at which speeds a person would notice the shake over the road, before and after
    survey       the same question put to every plausible vehicle, each counted by how well it agrees
    sureness     how surely a damper helps: what plausible vehicles do to a verdict
    measurements what can be measured, how long it takes, and how well it then is known
    measure_next the measurement or test that removes most of the decision's doubt per minute
    changes      one change of a vehicle at a time: some of its parts made anew, all others as they were
    true_wheels  how true wheels have to be, and what clocked duals bring
    proposal     a remedy before it is judged: what it changes, and what it asks of whoever does it
    panel        the same plausible vehicles for every remedy, and the best estimate itself
    wheel_remedies  truer wheels, clocked duals
    tyre_remedies  another pressure within the load table, tyres of another rate or size
    suspension_remedies  freed leaves, stronger shocks
    chassis_remedies  moved loads, ballast, other mountings and mounts, a stiffer frame
    many_hosts   many vehicles, each ready for any damper at one place
    tolerances   what a damper as built may differ from a damper as sized
    crowd        the plausible vehicles at one place, each with a damper built within its tolerances
    robust_search  the damper that leaves a quantile of them least
    pair         two tuned mass dampers: side by side, at two places, or one on the other
    pair_slopes  what one pair does, with exact slopes
    pair_weights what two weights may be together
    pair_problem what is asked of a pair at two places: the limits, as constraints with slopes
    pair_minimax the best pair for two places, in epigraph form with exact gradients
    pair_starts  where the search for a pair starts
    pair_survey  what plausible vehicles do with a pair
    pair_judged  what the best pair of its kind does, and whether it is worth a second bracket
    assess       the main job: a case in, an assessment out
    advised      whether a damper is advised, without all that an answer prints
    robust       the damper that is best for most of the plausible vehicles, built within its tolerances
    invented     invented vehicles of several sizes, drawn at random, as the text of a case file
    witness      what people say of a shake who look and drive, with the mistakes that people make
    complaints   simulated complaints: what is really the matter, and what a person would say of it
    harm         how often a damper is advised where it must not be
    in_hand      a damper in hand, judged beside ballast and beside the best
    remedies     the other countermeasures, judged by the same measure on the same plausible vehicles
    several      two dampers instead of one, where they earn their weight
    side_by_side two vehicles: modes paired by shape, critical speeds, and whether the old damper still suits
    line_power   how large a line is over what a rough road does beside it
    passes       passes over a road, cut into pieces of road, and which beat of the wheels each lies in
    reduction    how much less, and how surely: an interval over beats or passes, and how many it takes
    line_places  where lines lie: near where they ought to be, where they stand out
    matched_speeds  two sets of rides weighted to the same speeds
    measured_gain  two sets of rides, before a change and after it: what it took off the shake
    virtual_fit  a recorded ride as it would have been with a damper on
    sealed       a prediction sealed before the fix, with a hash that shows later edits
    scored       sealed predictions beside what was measured, one by one and as a whole
"""
