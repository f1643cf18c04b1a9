"""From a case file to the speeds at which a vehicle shakes.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    faults       every fault of an input at once: where, what came, what was wanted
    unit_names   what one written unit is of the unit wanted; the only file that knows pint
    units        the door: "4.2 t" comes in, 4200.0 kg stays; a bare number is refused
    quantities   the same door for whoever writes Python: SI, text, or a quantity with its unit
    numbers      every number with its origin, spread and source; the resolver and its ledger
    comfort      what a person feels of it: the frequency weightings of ISO 2631-1
    comfort_filters  the same in time: a history as it is felt, and what is read off it
    points       rows: how far a point rises per unit of each coordinate
    parts        spring, damper and mass: one row each
    frame        one body, from bounce to bending
    plan         what a case says is there: axles, bodies, points, links, without their numbers
    bending      what bends: the frame, and the sills of bodies that are clamped to it
    distribution the sprung frame, and how the mass that is not listed lies along it
    vehicle      what a vehicle is: parts between points, and the axles that meet the road
    carriers     what points ride on, and how everything follows when it moves
    building     a plan and its numbers in, a vehicle out
    tyres        a size on the sidewall to diameters and rolling circumference
    axle_estimates what an axle carries, weighs and stands on: the cited rules
    law_estimates friction, stops and shocks of an axle: the cited rules
    mount_estimates what a body stands on, from the words of the trade
    estimates    placard facts to numbers: the cited rules
    observations what a person finds without instruments: a walk round, and changed conditions
    datum        one thing that was measured, weighed or felt, as a function of the vehicle's numbers
    notebook     what a notebook shows of a result: one short table, everything escaped
    ride         a ride, simulated or recorded: channels on one clock, read in blocks
    ride_files   a ride as CSV, WAV, NPZ or Parquet, and back
    measured/    what the vehicle said, read without knowing the prediction  (only: faults, unit_names,
                 units, quantities, numbers, comfort, comfort_filters, points, ride, ride_files, notebook)
    roughness    how rough a road is: spectra and classes of ISO 8608
    wheels       wheels that are not quite true: what each brings to an order, and how fast it turns
    road         wheel orders, joints and waves: what the road asks at a speed
    profile      a road profile: heights at even steps, and what a tyre makes of them
    profile_table numbers in columns out of a text file: separators, decimal commas, a line of names
    profile_files a profile out of a file of numbers, with what was done to it
    profile_spectrum how rough a profile is, its dominant wavelengths, and a profile out of a spectrum
    events       single events and rows of slabs as a profile
    said         what recordings of a vehicle said, kept with its case
    casefile/    what stands in a case file: its keys, its faults, and what it means
    case         a case file in, a case out, or every fault of the file at once
    matrices     M, C and K, in numbers or in symbols
    sheet_rows   what a part stretches by, in words: motions of stations, bodies and axles
    sheet        the equation sheet: one energy term a line, from the same parts
    modes        frequencies, damping, shapes, names, and which part holds or loses the energy
    doubt        how far the spread of each number moves each natural frequency
    settle       a finished vehicle: as many frame shapes as it needs, and its losses as dampers
    golden_car   the reference quarter car and the International Roughness Index
    example      a small invented truck that the examples in docstrings share
    force_steps  forces that are not proportional, after one step of their stretch
    forces       the same as objects, and what each is worth at an amplitude
    laws         which of them a case asks for: stops, lift-off, shocks, leaves, dry friction
    response     motion of each watched point, along frequency and along speed
    background   what a rough road alone does to each watched point
    plausible    many vehicles that the numbers of a case allow, drawn evenly and built at once
    many_response  many vehicles at many frequencies: one order of elimination for all of them
    curve_files  receptances in universal files, written and read
    state_space  a vehicle as A, B, C, D with named axes, for control design
    exact_step   the linear vehicle from step to step, exact for inputs that are straight between samples
    travel       road and wheels in time: how far a vehicle has gone, and what comes under its axles
    drive        the linear vehicle over a road, in time: heights under its axles in, a ride out
    rough_drive  the same with stops, friction and tyres that lift off
    speeds       where the road meets a mode: the critical speeds, worst first
    amplitude    the vehicle at a stated amplitude: what its laws are worth, and where they settle
    amplitude_modes modes along amplitude, and the critical speeds at the amplitude found there
    predicted    what many vehicles say of each datum, beside what was found
    score_fit    the vehicle that agrees best with data, as far as the spreads of its numbers allow
    meanings     which mode, met by what, each datum may be of
    calibrated   what moved and by how much, what the data cannot tell apart, and what is strange
    calibrate    a case and data in, the vehicle that agrees with them out, and how surely
    held_out     what a calibrated vehicle says of a recording that it was not calibrated with
    felt         what a person felt, as data: the complaint's speeds, and where a weight moved the shake
    heard        what was read off recordings, as data: resonances of a drive, and what rang after a release
    restated     the numbers of a calibrated case: what it states anew, and what hangs together
"""
