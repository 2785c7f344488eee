"""The frame of a lining by calculation."""
