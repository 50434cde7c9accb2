"""A field notebook for surveyors of cellular networks.

Promised everywhere in this package, so that no call needs a unit switch: metres, degrees,
megahertz, decibels, WGS84 positions, azimuths and bearings clockwise from true north, UTC.
"""

__version__ = "0.1.0"
