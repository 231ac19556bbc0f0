"""Limits and conversions that job files and laws share, apart from the laws: a file is read without numpy.

>>> round(0.45359237 * 9.80665 / 0.0254**2, 6) == round(PSI, 6)  # lb · g / in², all exact (NIST SP 811)
True
>>> round(HIGHEST_PRESSURE / PSI)
1740
"""

HIGHEST_PRESSURE = 120e5
"""Highest pressure [Pa] the gas law was fitted to: absolute where solved for, gauge where typed."""
PSI = 6894.757293168
"""One pound-force per square inch [Pa]."""
