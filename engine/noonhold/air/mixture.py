"""Constants of moist air as a mixture of two ideal gases.

References
----------
.. [1] ASHRAE, "2017 ASHRAE Handbook - Fundamentals, SI edition", chapter 1, Atlanta, 2017; the
   equation numbers are of that chapter.
"""

STANDARD_PRESSURE_PA = 101325.0  # of the standard atmosphere at sea level, equation 3
MOLAR_MASS_RATIO = 0.621945  # water to dry air, equation 20
DRY_AIR_GAS_CONSTANT = 287.042  # J/(kg K), equation 1
DRY_AIR_SPECIFIC_HEAT = 1006.0  # J/(kg K), equation 30
VAPOUR_SPECIFIC_HEAT = 1860.0  # J/(kg K), equation 30
VAPOUR_ENTHALPY_AT_ZERO = 2.501e6  # J/kg, equation 30
