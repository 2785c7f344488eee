"""Pieces into stock: bars by length, boards by rectangle. Numbers only, no walls and no files."""
