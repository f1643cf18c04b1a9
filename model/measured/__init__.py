"""What the vehicle said: recordings in, evidence out, read without knowing the prediction.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    sensors      where a column of a recording was taken, which way it points, and what one unit of it is
    notes        what is wrong with a channel, from when to when, and what was done about it
    columns      what a reader brings home: columns of numbers, each with its unit and its clock
    stamps       dates and times of day as text, to seconds
    text_layout  how a text file of numbers is laid out: encoding, separator, decimal mark, names
    table_clock  which columns of a table are its clock, and what is mended of it
    text_table   numbers in columns of a text file, read piece by piece
    array_files  recordings in WAV and NPZ files
    mat_files    recordings in MAT files of every version
    logger_files  recordings in Parquet, UFF 58, TDMS and MDF 4 files
    files        which reader opens a file, and one clear error for whatever it holds
    roles        which column of a recording is which sensor, and which one is the road speed
    clock        one clock for columns of different rates, starts and stamps; gaps, and where they cut
    together     files of one ride on one clock: by their stamps, or by the shake that all of them felt
    speed        the road speed: from readings a second or less often to a speed at every instant
    lag          by how much a speed is late, estimated from the recording itself
    gravity      what gravity tells: offsets, what hangs upside down, which way an unknown axis points
    health       what is wrong with a column as it was read
    ride_health  what is wrong with channels side by side on one clock
    recording    files in, a ride out, with what was found wrong and what was done
    pulses       a waveform of pulses to the times of its edges, block by block
    counting     which pulses are true, and how many pitches of the wheel lie between them
    rotation     pulses to shaft angle, and to speed at the middle of each interval
    segments     pieces of a ride under a window, and their Fourier transforms, batch by batch
    spectra      spectra, cross-spectra and coherence of any number of channels, in one pass
    spectrogram  level against time and frequency
    resampling   a ride along an angle, or along the road
    orders       levels of orders, and the map of a shake against speed
    tracking     one order along the ride: size, phases of the points, and whether two beat
    findings     what a finding is: a shake, its kind, how surely, and the numbers behind it
    decay        natural frequencies and damping from a ring-down; effective mass from an added weight
    mode_fit     a mode fitted to power along frequency, from a sweep or an operating spectrum
    travelled    a ride slowed down to what shakes, along time and along the road
    lines        what follows the road: lines per metre, and how large each is along speed
    rolling      which line belongs to what: circumference, joint spacing, shaft ratio
    steady       what stays at a frequency while the speed changes
    shakes       shakes of a ride, each with what can be measured of it
    sureness     how surely a mode is a mode, a part at fault
    opposite     left against right, and sideways: what a planar vehicle does not have
    judged       from shakes to findings
    unseen       what a recording cannot tell, in sentences
    driveline    whether the driveline moves with a shake
    what_next    the one thing to record next
    evidence     what shakes, where, at what speed, how surely
"""
