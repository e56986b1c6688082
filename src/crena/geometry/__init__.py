"""Frames, outlines, support functions, unrolling, distances and exact measures.

Arrays in, arrays out: this room knows nothing of tracts, flaps or plans.
"""
