"""What the shop has learned from its touch tests, and what a maker may say to it."""
