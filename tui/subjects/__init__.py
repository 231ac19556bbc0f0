"""The subjects of the trade: each computed, told in words, written as JSON and answered to a command."""
