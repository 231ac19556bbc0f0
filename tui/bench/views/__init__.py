"""The views that take the place of chart and table while the panels stay."""
