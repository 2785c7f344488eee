"""Drawings, schedules and the papers they go into."""
