"""Pages and their JSON side: survey, choose, set out and price in a browser."""
