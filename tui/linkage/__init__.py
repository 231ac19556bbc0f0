"""The linkage screen: pivot points typed, the mechanism drawn and cycled, its curve adopted."""
