"""Airborne sound through walls: prediction in third-octave bands, ratings, flanking, composites."""
