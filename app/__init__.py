"""What people touch.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    ledger       the numbers behind an answer, in words and in the units that their user writes
    seen         what was found without instruments, as JSON
    shares       the complaint taken apart, and who would notice it, as JSON
    told         one thing at a time as JSON: a mode, a critical speed, a damper, a prediction
    amplitude    the vehicle at the amplitude found, as JSON
    answer       an assessment as JSON: SI in the key names, null where a thing is absent
    tables       an assessment as tables of text, the same for a page and for a terminal
    seen_tables  what was found without instruments, as tables of text
    next_table   what to do next: measurements and tests by the doubt that they remove per minute
    damper_tables  what a damper is, does and weighs, as tables of text
    sure_table   how surely: what the vehicles do that the numbers of a case allow
    noticed_table  whether a person would notice the shake over the road
    amplitude_tables  what is not proportional, at the amplitude found
    remedies_table  every remedy beside the damper, and what each asks, as tables and as JSON
    read_study   recordings read: everything that was asked of them, and everything that was found
    read_answer  the same as JSON
    read_tables  the same as sentences and tables of text
    calibrated_file a calibrated case as a case file: the old text, with what moved stated anew
    calibrate_table a calibration as tables of text and as JSON
    chain        recordings, the case corrected by them, and its answer without and with them
    chain_table  the same as tables of text and as JSON
    shapes       a vehicle from the side, at rest and in a mode: lines and circles, not yet drawn
    layout       where labels go so that they do not cover each other
    figures      how a picture is made and kept; the only file that knows Matplotlib
    speed_map    the map of critical speeds
    amplitude_picture  natural frequencies along amplitude
    pictures     the response along speed, the modes from the side
    curves       curves and lists as CSV, in SI
    folder       a folder of results: whole or not there, and never over foreign files
    blocks       what a paper is made of, before it becomes HTML or PDF
    drive_card   who drives, which speeds, what to feel and where to write it down
    recording_guide  where sensors go, how they are fixed, what to record, label and drive, on one page
    answer_sheet  the answer on one page
    customer_sheet  what the owner gets, in plain words
    fit_card     how the damper goes on, is tuned, and is tuned again
    proof_sheet  for the engineer: what would prove the assessment wrong
    papers       the papers that people carry: which of them there are, as pages
    pdf          the papers as one PDF, by Typst, which is an extra
    report       one self-contained page, with its pictures and curves
    writing      how every command writes: the answer first, tables, cautions last
    terminal     an assessment as readable text, in the units that its user writes
    progress     what is being done, said while it is done
    listing      options that take several values
    recording_options  what the commands that read recordings ask beside their files
    damper_options  a damper in hand, as options of a command
    hand         the command `try`: a damper in hand, beside ballast and beside the best
    remedies     the command `remedies`: every other countermeasure, ranked beside the damper
    beside       the command `compare`: two vehicles side by side
    equations    the command `sheet`: the equations in the terminal, for LaTeX, as MathML
    road_study   a measured road: how rough it is, and what of it meets a vehicle's modes, also as JSON
    road_tables  the same as tables of text
    road         the command `road`: a measured profile read and judged
    questions    what is asked for a starter case, in the order of asking
    answers      answers to the questions, each checked as it comes
    starter      the text of a starter case
    new_files    new files: all or none, and never over what lies there
    calibrate    the command `calibrate`: a case corrected by evidence, as a new case file
    exports      the command `export`: matrices and receptances, for other programs
    host_files   a host as files describe it: curves in universal files or CSV, modes in CSV or TOML
    host_damper  the best damper on a host known from curves or modes
    measured_host  the command `host`: a damper for a host known from a file, without a case
    new_case     the command `new`: a starter case from a few facts, or a copy of an example
    drive_road   the road that a drive goes over: random, out of a file, with joints or waves
    driven       a drive of a case, with and without a damper, and what is read off it
    drive_table  what a drive amounts to, as a table and as JSON
    drive_picture  a drive as a picture: each channel over the whole way, and a second of it beside
    drive        the command `drive`: a drive in time, with and without a damper
    harm_table   dampers advised over simulated complaints, as tables of text and as JSON
    harm         the command `harm`: how often a damper is advised where it must not be
    pairs_table  two dampers beside one of the same weight: in short, as tables of text, as JSON
    pairs        the command `pairs`: two dampers beside one of the same weight
    robust_table  the damper that survives doubt, beside the nominal one: as tables of text, as JSON
    robust       the command `robust`: the damper that is best for most of the vehicles that the numbers allow
    read_dials   the points of a shake from the side, each with its level and its phase
    read_together  who moves with a shake: the points, or a shaft
    read_pictures  all pictures of a recording, and the shake against speed
    read_report  the same as one page, with the guide for the next ride
    before_recording  the recording guide before the first recording, on the screen and as a page
    read         the command `read`: recordings in, what shakes out
    fitted       the command `fitted`: a recorded ride as it would have been with a damper on
    verify_table  rides before and after a change, and sealed predictions scored, as tables and as JSON
    verify       the commands `verify` and `score`: what a change did, and how good sealed predictions were
    assess       the command `assess`: a case answered, by itself or with recordings
    cli          the commands
"""
