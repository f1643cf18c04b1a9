"""What people touch.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    ledger       the numbers behind an answer, in words and in the units that their user writes
    seen         what was found without instruments, as JSON
    answer       an assessment as JSON: SI in the key names, null where a thing is absent
    tables       an assessment as tables of text, the same for a page and for a terminal
    seen_tables  what was found without instruments, as tables of text
    damper_tables  what a damper is, does and weighs, as tables of text
    shapes       a vehicle from the side, at rest and in a mode: lines and circles, not yet drawn
    layout       where labels go so that they do not cover each other
    figures      how a picture is made and kept; the only file that knows Matplotlib
    speed_map    the map of critical speeds
    pictures     the response along speed, the modes from the side
    curves       curves and lists as CSV, in SI
    folder       a folder of results: whole or not there, and never over foreign files
    report       one self-contained page, with its pictures and curves
    writing      how every command writes: the answer first, tables, cautions last
    terminal     an assessment as readable text, in the units that its user writes
    progress     what is being done, said while it is done
    hand         the command `try`: a damper in hand, beside ballast and beside the best
    beside       the command `compare`: two vehicles side by side
    equations    the command `sheet`: the equations in the terminal, for LaTeX, as MathML
    questions    what is asked for a starter case, in the order of asking
    answers      answers to the questions, each checked as it comes
    starter      the text of a starter case
    new_files    new files: all or none, and never over what lies there
    new_case     the command `new`: a starter case from a few facts, or a copy of an example
    cli          the commands
"""
