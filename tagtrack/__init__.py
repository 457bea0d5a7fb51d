"""tagtrack: a ledger of custody for what comes off an aircraft.

Nothing inside the package imports this root; DEVELOPERS.md has the map.
"""
