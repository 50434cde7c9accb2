"""Radio path, antennas and channels: one module a matter, each naming its standard.

Throughout: metres, megahertz, decibels, degrees; losses are positive, gains count from the peak.
"""
