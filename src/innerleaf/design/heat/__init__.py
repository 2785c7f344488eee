"""Heat through a lined wall and the temperature of its surface."""
