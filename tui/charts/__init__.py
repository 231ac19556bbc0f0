"""Charts in the terminal."""
