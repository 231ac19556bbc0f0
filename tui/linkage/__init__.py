"""The linkage screen: typing pivot points, drawing and moving the mechanism, adopting its curve."""
