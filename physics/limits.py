"""Limits and conversions that job files and laws share, apart from the laws: a file is read without numpy.

>>> round(PSI, 6), round(LBF_PER_IN, 6)  # NIST SP 811, appendix B.8: 6.894 757 E+03 Pa, 1.751 268 E+02 N/m
(6894.757293, 175.126835)
>>> round(HIGHEST_PRESSURE / PSI)
1740
"""

HIGHEST_PRESSURE = 120e5
"""Highest pressure [Pa] the gas law was fitted to: absolute where solved for, gauge where typed."""
STANDARD_GRAVITY = 9.80665
"""Standard gravity [m/s²], exact (ISO 80000-3)."""
POUND, INCH = 0.45359237, 0.0254
"""One pound [kg] and one inch [m], both exact (NIST SP 811)."""
POUND_FORCE = POUND * STANDARD_GRAVITY
"""Weight of one pound under standard gravity [N]."""
LBF_PER_IN = POUND_FORCE / INCH
"""One pound-force per inch [N/m]."""
PSI = POUND_FORCE / INCH**2
"""One pound-force per square inch [Pa]."""
