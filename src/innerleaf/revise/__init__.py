"""Two plans held against each other, and what is bought or built already."""
