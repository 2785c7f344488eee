"""What happens on site: records that no one changes unseen, checks, hold points, what is built and left."""
