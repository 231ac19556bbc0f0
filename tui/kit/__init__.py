"""The parts every screen is made of."""
