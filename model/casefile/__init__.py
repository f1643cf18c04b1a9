"""What stands in a case file: its keys, its faults, and what it means.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    lines        where each key of a TOML file stands
    toml_file    a file's bytes, text and tables, or the one reason why there are none
    kinds        kinds of values: what is read as which unit, within which bounds
    vehicle_keys keys of the vehicle: its axles, frame, bodies, points and links
    recording_keys keys of recordings: which column was taken where, and how the vehicle was driven
    evidence_keys keys of what was measured on the whole vehicle
    schema       all keys that a case file may hold
    key_faults   the keys of a file read one by one, all faults at once
    plans        what a file says is there, as a plan
    facts        what it says, as the numbers beside the plan
    seen         the walk round and the observations that a file tells of
    roads        what the road and the wheels ask of the vehicle
    vehicle_checks what the vehicle says against itself
    body_checks  what its bodies and their mountings say against themselves
    law_checks   what it says against itself about stops, friction and shocks
    recorded     where its recordings were taken, how the vehicle was driven, and what contradicts itself
    evidence     what was measured on the whole vehicle, and what contradicts itself in it
    checks       what the keys say against each other
    needs        the numbers that a plan cannot do without
"""
