"""Third part of the table of `scaling.ground.symbols`: windings of whole conductors, and a drive's limits."""

TABLE = """
N_1      | 1         | derived  | slots of the stator
n_a      | 1         | constant | parallel paths of a phase
n_s      | 1         | constant | strands of a conductor
a_w      | m**2      | derived  | cross-section of a conductor's copper, strands together
Phi      | Wb        | derived  | flux of a pole
E_1      | V         | derived  | rms voltage that the gap field induces in a phase
P_S      | V*A       | derived  | apparent power taken in
U_l      | V         | derived  | rms voltage between lines
I_l      | A         | derived  | rms current of a line
Z_1      | ohm       | derived  | impedance of a phase: resistance or reactance
z_A      | ohm       | derived  | impedance per gap area and square of the peak loading: power per area is half of both
U_f      | V/m       | derived  | voltage of the flux alone, without that of the resistance, at base frequency
n_f      | 1         | operating | frequency over that of the base point
n_m      | 1         | derived  | highest frequency over that of the base point
c_P      | 1         | derived  | constant-power range: highest speed at which base power is reached over base speed
c_I      | 1         | derived  | characteristic over rated current of a magnet machine
A_m      | A/m       | operating | peak linear current density that a drive can feed
beta_i   | 1         | derived  | angle of the current from the d axis
"""
