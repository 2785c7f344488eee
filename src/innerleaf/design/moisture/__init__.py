"""Moisture in a lined wall, by the month and through the years."""
