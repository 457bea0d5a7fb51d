"""WHAT THE PHONE SHOWS: the page that one shop computer serves to phones, tablets and scanners at the aircraft.

The only folder that knows HTTP. Each press becomes one line of the scan loop, so that page, scanner and terminal record
the same things and share every refusal.
"""
