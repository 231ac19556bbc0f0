"""Components of all screens."""
