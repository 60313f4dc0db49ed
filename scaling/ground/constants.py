"""Physical constants and conventional values, SI.

Sources: CODATA 2018 for the magnetic constant and the Stefan-Boltzmann constant; the 3rd CGPM
(1901) for standard gravity.
"""

VALUES = {
    "mu_0": 1.25663706212e-6,  # N/A², magnetic constant (CODATA 2018)
    "sigma_SB": 5.670374419e-8,  # W/(m²·K⁴), Stefan-Boltzmann constant (CODATA 2018, exact)
    "L_0": 2.443004509e-8,  # W·Ω/K², pi²/3*(k/e)² (Sommerfeld 1928; CODATA 2018, exact)
    "g_n": 9.80665,  # m/s², standard gravity (3rd CGPM, exact)
}
