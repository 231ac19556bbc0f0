"""The main screen."""
