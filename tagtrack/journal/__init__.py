"""WHAT WAS RECORDED: append-only journals on disk. The only folder that knows TinyDB.

Read in this order: line, chain, lock, alone, disk, mirror, store, tiny, index, acts; for copies: contents,
generations, backup, unpacked, restore.
"""
