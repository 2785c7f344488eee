"""Sound through a lined wall."""
