"""What people touch.

In reading order, which is also the rule for imports: a file uses only what stands above it.

    answer       an assessment as JSON: SI in the key names, null where a thing is absent
    figures      draws results; the only file that knows Matplotlib
    report       one self-contained page, its pictures and its curves, written beside and renamed
    terminal     an assessment as readable text, in the units that its user writes
    cli          the commands
"""
