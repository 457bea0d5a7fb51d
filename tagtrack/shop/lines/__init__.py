"""WHAT A LINE MEANS: the scan loop, one line in, one answer out.

A line is a scanned code, or a word of the shop and what belongs to it. `loop.Loop` holds who works, where, and what
is in hand; the other modules are the words. A terminal, a piped file and a page can all drive it.
"""
