"""The subjects of the trade: each computed, worded, written as JSON and printed by a command."""
