"""From a critical speed to a verdict on a countermeasure.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    closed_form  Den Hartog and his relatives, one published formula each
    absorber     the tuned mass damper: one more body on a station, and what the station feels of it
    ratings      axle, tyre and weight limits, and what a weight at a station does to them
    search       every station, mass, tuning and damping, without solving the vehicle again
    before_after the same questions to two vehicles
    verdict      does it help, by how much, how surely; if not, why, and what to do instead
    assess       the main job: a case in, an assessment out
"""
