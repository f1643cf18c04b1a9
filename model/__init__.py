"""From a case file to the speeds at which a vehicle shakes.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    faults       every fault of an input at once: where, what came, what was wanted
    unit_names   what one written unit is of the unit wanted; the only file that knows pint
    units        the door: "4.2 t" comes in, 4200.0 kg stays; a bare number is refused
    quantities   the same door for whoever writes Python: SI, text, or a quantity with its unit
    numbers      every number with its origin, spread and source; the resolver and its ledger
    comfort      what a person feels of it: the frequency weightings of ISO 2631-1
    points       rows: how far a point rises per unit of each coordinate
    parts        spring, damper and mass: one row each
    frame        one body, from bounce to bending
    plan         what a case says is there: axles, bodies, points, links, without their numbers
    distribution the sprung frame, and how the mass that is not listed lies along it
    vehicle      what a vehicle is: parts between points, and the axles that meet the road
    carriers     what points ride on, and how everything follows when it moves
    building     a plan and its numbers in, a vehicle out
    tyres        a size on the sidewall to diameters and rolling circumference
    axle_estimates what an axle carries, weighs and stands on: the cited rules
    estimates    placard facts to numbers: the cited rules
    observations what a person finds without instruments: a walk round, and changed conditions
    notebook     what a notebook shows of a result: one short table, everything escaped
    road         wheel orders, joints and waves: what the road asks at a speed
    casefile/    what stands in a case file: its keys, its faults, and what it means
    case         a case file in, a case out, or every fault of the file at once
    matrices     M, C and K, in numbers or in symbols
    sheet        the equation sheet: one energy term a line, from the same parts
    modes        frequencies, damping, shapes, names, and which part holds or loses the energy
    doubt        how far the spread of each number moves each natural frequency
    settle       a finished vehicle: as many frame shapes as it needs, and its losses as dampers
    example      a small invented truck that the examples in docstrings share
    response     motion of each watched point, along frequency and along speed
    curve_files  receptances in universal files; the only file that knows the library for them
    state_space  a vehicle as A, B, C, D with named axes, for control design
    speeds       where the road meets a mode: the critical speeds, worst first
"""
