"""What people touch.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    ledger       the numbers behind an answer, in words and in the units that their user writes
    answer       an assessment as JSON: SI in the key names, null where a thing is absent
    tables       an assessment as tables of text, the same for a page and for a terminal
    shapes       a vehicle from the side, at rest and in a mode: lines and circles, not yet drawn
    layout       where labels go so that they do not cover each other
    figures      how a picture is made and kept; the only file that knows Matplotlib
    speed_map    the map of critical speeds
    pictures     the response along speed, the modes from the side
    report       one self-contained page, its pictures and its curves, written beside and renamed
    terminal     an assessment as readable text, in the units that its user writes
    cli          the commands
"""
