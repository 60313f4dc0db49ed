"""The one place where symbols are made: name, SI unit, role and meaning of every quantity in the laws.

Every symbol is positive (slip included: a motoring machine), so that SymPy simplifies roots.
Roles: ``length`` scales with the machine, ``constant`` does not change with size (materials, ratios), ``operating`` is
what a supply or a load sets and a question about size must hold or free, ``derived`` follows through a formula.
"""

from dataclasses import dataclass

import sympy as sp

from scaling.ground.constants import VALUES
from scaling.ground.symbols_heat import TABLE
from scaling.ground.symbols_winding import TABLE as WINDING_TABLE


@dataclass(frozen=True)
class Entry:
    """One line of the symbol table."""

    unit: str
    role: str
    meaning: str


_TABLE = """
D        | m         | length   | rotor diameter at the gap
L        | m         | length   | active length
L_o      | m         | length   | length over the end windings
l_e      | m         | length   | overhang of the end winding on a side
w_e      | m         | length   | width of an end ring along the shaft
h_l      | m         | length   | height of the tooth tips: lip of the slot opening
g        | m         | length   | mechanical clearance between stator and rotor
tau_u    | m         | length   | slot pitch
b_u      | m         | length   | slot opening
b_2      | m         | length   | opening of the rotor's slots
d_s      | m         | length   | slot depth
t        | m         | length   | thickness of the rotor's active layer
D_i      | m         | length   | bore diameter of the stator
t_u      | m         | derived  | thickness of a layer, unrolled at the bore
t_v      | m         | derived  | volume of a layer per bore area
c_R      | 1         | derived  | root-mean-square radius of a layer over the bore radius
h_p      | m         | length   | depth of the interpolar space below the pole face
D_o      | m         | derived  | outside diameter
y        | m         | derived  | radial thickness of the stator yoke
tau      | m         | derived  | pole pitch
k        | 1/m       | derived  | wave number of the pole pitch
k_C      | 1         | derived  | Carter's coefficient: effective gap over clearance
k_D      | 1         | derived  | Carter's coefficient of the rotor's slots
c_o      | 1         | constant | overhang of the end winding over the pole pitch, but for its straight piece
c_l      | 1         | constant | straight piece of the end winding's overhang over the rotor diameter
m_e      | kg        | derived  | mass of the end rings
g_m      | m         | derived  | magnetic gap
S_b      | m**2      | derived  | bore area
S_o      | m**2      | derived  | cooled outside area
V_i      | m**3      | derived  | volume of the bore
V_w      | m**3      | derived  | volume of the winding's conductors, end turns included
V        | m**3      | derived  | volume of the active envelope
I        | A         | derived  | current of a conductor
F        | N         | derived  | force
f_V      | N/m**3    | derived  | force per volume
a_F      | m/s**2    | derived  | acceleration
t_F      | s         | derived  | time to cross the body's own length from rest
p_V      | W/m**3    | derived  | power per volume
rho_b    | kg/m**3   | constant | density of a body
sigma    | S/m       | constant | electrical conductivity
V_r      | m**3      | derived  | volume of the rotor's active layer
m        | kg        | derived  | mass
J        | kg*m**2   | derived  | moment of inertia
ell      | m         | length   | length of a circuit
a_c      | m**2      | length   | cross-section of a circuit
X_d      | ohm       | derived  | reactance of the d axis, leakage included
X_q      | ohm       | derived  | reactance of the q axis, leakage included
x_a      | ohm       | derived  | reactance of an axis at the slip's frequency, leakage included
y_a      | ohm       | derived  | the same axis' part that takes power
x_d      | ohm       | derived  | reactance of the d axis at the slip's frequency
y_d      | ohm       | derived  | part of the d axis' reactance that takes power
x_q      | ohm       | derived  | reactance of the q axis at the slip's frequency
y_q      | ohm       | derived  | part of the q axis' reactance that takes power
U_s      | V/m       | derived  | peak voltage of a winding over area and loading: power per area is half of both
E_s      | V/m       | derived  | the same of the magnets' field
A_d      | A/m       | derived  | peak loading along the d axis of the rotor, above 0 with the field of magnets
A_q      | A/m       | derived  | peak loading across that axis, which makes the torque
q_g      | W/m**2    | derived  | power across the gap per bore area
q_s      | W/m**2    | derived  | power across the gap per bore area and slip
phi_cd   | 1         | derived  | conductors' share of a layer, as it counts in the d axis
phi_cq   | 1         | derived  | conductors' share of a layer, as it counts in the q axis
D_t      | m         | derived  | diameter of the ground of bars
D_m      | m         | derived  | diameter of the magnets' ground
D_l      | m         | derived  | diameter at which teeth without bars would carry the gap field
R        | ohm       | derived  | resistance
X        | ohm       | derived  | reactance
R_e      | ohm       | derived  | resistance at the terminals, rotor at full speed
X_e      | ohm       | derived  | reactance at the terminals, rotor at full speed
w_a      | m         | length   | length of a leakage path in air
u_s      | 1         | derived  | flux density of a leakage path, its iron left out, over saturation
r_a      | 1         | derived  | length of a leakage path in air over that in air and saturated iron
c_s      | 1         | derived  | leakage that saturation leaves over that of unsaturated iron
a_e      | 1         | derived  | current over the continuous one
R_m      | 1/H       | derived  | reluctance
mu       | H/m       | constant | permeability
c_D      | 1         | constant | outside diameter over bore diameter
p        | 1         | constant | pole pairs
f        | Hz        | operating | electrical frequency
omega    | 1/s       | derived  | electrical angular frequency
v_s      | m/s       | derived  | speed of the travelling field
s        | 1         | operating | slip
Omega    | 1/s       | derived  | mechanical angular speed
A        | A/m       | derived  | peak of the fundamental linear current density
A_rms    | A/m       | derived  | rms linear current density of the winding
J_rms    | A/m**2    | derived  | rms current density in the conductor
k_w      | 1         | constant | winding factor
c_q      | 1         | constant | slots per pole and phase
rho_w    | kg/m**3   | constant | density of the conductor
c_e      | 1         | constant | end turn length over pole pitch
e        | 1         | derived  | end-winding share: conductor length outside the core over inside
e_r      | 1         | derived  | end-ring share: end-ring loss over bar loss
phi_s    | 1         | constant | copper share of the slot layer, teeth included
phi_t    | 1         | constant | tooth share of the slot layer
phi_r    | 1         | constant | conductor share of the rotor layer
k_s      | 1         | constant | stacking factor: iron over length of a laminated core
rho      | ohm*m     | derived  | resistivity at working temperature
sigma_20 | S/m       | constant | electrical conductivity at 20 °C
alpha_20 | 1/K       | constant | temperature coefficient of resistance at 20 °C
T_20     | K         | constant | reference temperature of the conductivity, 293.15 K
T        | K         | constant | absolute temperature
sigma_s  | S         | derived  | surface conductance of the rotor layer
q_w      | W/m**2    | derived  | winding heat per bore area
q_c      | W/m**2    | derived  | core heat per bore area
q_r      | W/m**2    | derived  | rotor heat per bore area
q_f      | W/m**2    | derived  | friction power per bore area
q_o      | W/m**2    | derived  | heat per outside area
q_b      | W/m**2    | derived  | heat the outside can pass, per bore area
w_A      | ohm       | derived  | winding heat per bore area over A squared
w_B      | W/m**2/T**2 | derived | core heat per bore area over B squared
x_L      | 1         | derived  | additional load losses over the power across the gap
w_L      | ohm       | derived  | additional load losses per bore area over loading squared
sigma_0  | Pa        | derived  | shear stress that a stator's loading is good for
A_0      | A/m       | derived  | peak linear current density that all the heat allows
P_0      | W         | derived  | power across the gap of that stress
P_k      | W         | constant | one kilowatt
t_x      | m         | length   | thickness of the can over the stator's bore
w_x      | W/m**2/T**2 | derived | heat of a can per bore area over B squared
x_e      | 1         | derived  | loss of a can over that of one with ends of no resistance
B_20     | T         | constant | remanence of a magnet at 20 °C
alpha_B  | 1/K       | constant | loss of remanence per kelvin over that at 20 °C
w_1      | W/kg      | constant | specific core loss at B_1 and f_1
B_1      | T         | constant | flux density of the core loss figure, 1.5 T
f_1      | Hz        | constant | frequency of the core loss figure, 50 Hz
c_b      | 1         | constant | building factor: core loss in the machine over that of the sheet
rho_c    | kg/m**3   | constant | density of the core
B        | T         | derived  | peak of the fundamental gap field
x_B      | 1         | derived  | gap field over what the winding alone sets up in its gap
x_psi    | 1         | derived  | cosine of the angle between gap field and winding current along the bore
B_y      | T         | constant | largest flux density in the yoke
B_l      | T         | derived  | largest allowed gap field
B_m      | T         | derived  | peak of the magnet's fundamental gap field
g_f      | m         | derived  | gap of the field: tanh(k*g_m)/k
g_t      | m         | derived  | gap of the shear stress: sinh(2*k*g_m)/(2*k)
Y_r      | 1         | derived  | surface admittance -mu_0*H_x/(k*A_z) of the rotor, real part
Y_i      | 1         | derived  | surface admittance of the rotor, imaginary part: it carries the power
x_b      | 1         | derived  | slot leakage of rotor bars: of the inverse surface admittance, real part
z_b      | 1         | derived  | bar depth over skin depth at slip frequency
sigma_t  | Pa        | derived  | shear stress on the rotor
Lambda   | 1         | derived  | rotor response
G        | 1         | derived  | goodness
x        | 1         | derived  | slip times goodness
T_e      | N*m       | derived  | electromagnetic torque
beta_w   | 1         | derived  | slip heat over gap power scale: v_s*mu_0/(2*k*g_m*w_A)
beta_c   | 1         | derived  | core heat of the open gap over winding heat: w_B*(mu_0/(k*g_m))**2/w_A
chi      | 1         | derived  | linear current density over that which sets up the field limit
tan_delta | 1        | derived  | tangent of the load angle
H        | A/m       | derived  | peak field strength in the ring
H_c      | A/m       | constant | coercivity
H_a      | A/m       | constant | field constant of the anhysteretic curve
H_b      | A/m       | constant | field constant of the cells pinned near the coercivity
H_k      | A/m       | derived  | largest pinning field overcome: the smaller of H and 2*H_c
H_i      | A/m       | derived  | the smaller of H and (1 + w_c)*H_c: the most pinned of them
H_j      | A/m       | derived  | the smaller of H and (1 - w_c)*H_c: the least pinned of them
m_c      | 1         | constant | share of the cells that are pinned near the coercivity
w_c      | 1         | constant | half the width of their band of pinning fields over H_c
B_r      | T         | constant | remanence
B_s      | T         | constant | saturation flux density
B_p      | T         | derived  | peak flux density of the loop
B_i      | T         | derived  | in-phase part of the fundamental flux density of the loop
i_0      | 1         | constant | hump coefficient of the in-phase ratio, cells spread evenly
i_1      | 1         | constant | first coefficient of the in-phase ratio, cells spread evenly
i_2      | 1         | constant | second coefficient of the in-phase ratio, cells spread evenly
i_3      | 1         | constant | third coefficient of the in-phase ratio, cells spread evenly
i_4      | 1         | constant | fourth coefficient of the in-phase ratio, cells spread evenly
j_2      | 1         | constant | second coefficient of the in-phase ratio, cells pinned near H_c
j_3      | 1         | constant | third coefficient of the in-phase ratio, cells pinned near H_c
j_4      | 1         | constant | fourth coefficient of the in-phase ratio, cells pinned near H_c
W_h      | J/m**3    | derived  | loop energy per volume and cycle
mu_r     | 1         | derived  | amplitude of the relative permeability of the fundamental
gamma    | 1         | derived  | hysteresis angle: lag of B behind H
N        | 1         | derived  | ring number: gap reluctance over ring reluctance
alpha    | 1         | constant | pole arc over pole pitch
r        | 1         | derived  | permeance over the interpolar space relative to the pole face
h_d      | m         | derived  | interpolar depth that counts in the d axis
h_q      | m         | derived  | interpolar depth that counts in the q axis
w_f      | m         | derived  | pole width whose flux the fringing of one pole edge is worth
n_b      | 1         | constant | flux barriers per pole
kappa_b  | 1         | constant | barrier share of the rotor's depth
g_e      | m         | derived  | magnetic gap of a barrier rotor, its mouths included
t_r      | m         | length   | thickness of the iron ribs that close the barriers
B_rib    | T         | constant | flux density of a saturated rib
c_0      | 1         | derived  | potential of the innermost iron in the q axis over the peak of the fundamental
B_e      | T         | derived  | fundamental gap field of the ribs' flux
zeta     | 1         | derived  | rib share: flux the ribs let past the barriers over the d-axis flux
P_d      | 1         | derived  | d-axis permeance relative to the smooth gap
P_q      | 1         | derived  | q-axis permeance relative to the smooth gap
xi       | 1         | derived  | saliency ratio
psi      | 1         | constant | angle by which the current of a magnet machine magnetises
c_A      | T/A*m     | derived  | gap field of a current sheet over its linear current density
w_C      | W/m**2/T**2 | derived | core heat per bore area over B squared of a field that has a backward wave
h        | W/m**2/K  | derived  | heat transfer coefficient
theta    | K         | operating | temperature rise
T_a      | K         | constant | ambient temperature
T_f      | K         | derived  | film temperature
lambda_f | W/m/K     | derived  | thermal conductivity of the coolant
nu_f     | m**2/s    | derived  | kinematic viscosity of the coolant
eta_f    | Pa*s      | derived  | dynamic viscosity of the coolant
rho_f    | kg/m**3   | derived  | density of the coolant
Pr       | 1         | constant | Prandtl number
Ra       | 1         | derived  | Rayleigh number
Re       | 1         | derived  | Reynolds number
Nu       | 1         | derived  | Nusselt number
epsilon  | 1         | constant | emissivity
v_f      | m/s       | constant | speed of the coolant
lambda_i | W/m/K     | constant | thermal conductivity of the slot liner
theta_w  | K         | derived  | temperature of the winding over its core
lambda_m | W/m/K     | constant | thermal conductivity of the surrounding medium
Nu_0     | 1         | derived  | Nusselt number of conduction, referred to the root of the surface
G_b      | 1         | derived  | body gravity function: what shape and position make of natural convection
b_j      | m         | length   | height of a channel
D_h      | m         | derived  | hydraulic diameter
f_D      | 1         | derived  | Darcy's friction factor
h_s      | W/m**2/K  | derived  | heat transfer coefficient of the side of a wall
h_f      | W/m**2/K  | constant | heat transfer coefficient of a joint, for its area
lambda_a | W/m/K     | constant | thermal conductivity of the frame
t_g      | m         | length   | thickness of the frame's wall
u_f      | 1         | derived  | length of the frame's wall over that in which it gives its heat to its side
r_f      | 1         | derived  | thermal resistance of a joint over that of the wall behind it
c_a      | 1         | constant | power of a fan over that of the air that would pass the machine's section
P_u      | W         | derived  | power of a fan on the shaft
C_f      | 1         | derived  | torque coefficient of the smooth rotor
M_f      | N*m       | derived  | friction torque
c_f      | 1         | constant | bearing friction coefficient
e_g      | 1         | constant | displacement of the rotor over the clearance
F_s      | N         | derived  | unbalanced magnetic pull: side pull of the field
F_w      | N         | derived  | weight of the rotor
F_j      | N         | derived  | load of both bearings together
d_j      | m         | derived  | bearing diameter: that of the journal, or the bore of a ball bearing
l_j      | 1         | constant | bearing length over bearing diameter
c_j      | m         | derived  | radial clearance of a plain bearing
h_j      | m         | derived  | smallest thickness of the oil film
h_c      | m         | constant | height of the roughness of journal and bearing together
S_j      | 1         | derived  | Sommerfeld number of a plain bearing
eta_l    | Pa*s      | constant | dynamic viscosity of the lubricant
nu_l     | m**2/s    | derived  | kinematic viscosity of the lubricant
M_j      | N*m       | derived  | friction torque of both bearings that goes with their load
M_v      | N*m       | derived  | viscous friction torque of one bearing
d_p      | m         | derived  | pitch diameter of a ball bearing
f_0      | 1         | constant | viscous friction number of a ball bearing
p_0      | Pa        | constant | viscous friction torque over f_0 and the cube of the pitch diameter at q_0
q_0      | m**2/s**2 | constant | kinematic viscosity times angular speed up to which it is constant
Pi       | 1         | derived  | pull-in number
R_1      | ohm       | derived  | resistance of a stator phase
X_1      | ohm       | derived  | leakage reactance of a stator phase
R_2      | ohm       | derived  | resistance of a rotor phase, referred to the stator
X_2      | ohm       | derived  | leakage reactance of a rotor phase at standstill, referred to the stator
X_m      | ohm       | derived  | magnetising reactance of a phase
R_g      | ohm       | derived  | resistance of rotor and magnetising branch in series form
X_g      | ohm       | derived  | reactance of rotor and magnetising branch in series form
R_t      | ohm       | derived  | resistance of the source that the rotor branch sees (Thevenin)
X_t      | ohm       | derived  | reactance of the source that the rotor branch sees (Thevenin)
U_t      | V         | derived  | rms open-circuit voltage that the rotor branch sees (Thevenin)
I_1      | A         | derived  | rms current of a stator phase
I_2      | A         | derived  | rms current of a rotor phase, referred to the stator
cos_phi  | 1         | derived  | power factor
m_1      | 1         | constant | phases of the stator
P_1      | W         | derived  | electric power taken in
P_w      | W         | derived  | winding loss of the stator
P_g      | W         | derived  | power that crosses the gap
P_r      | W         | derived  | winding loss of the rotor
P_f      | W         | derived  | rotational loss: friction, fan, and the core where it is not told apart
P_2      | W         | derived  | power at the shaft
T_2      | N*m       | derived  | torque at the shaft
eta      | 1         | derived  | efficiency
p_a      | Pa        | constant | air pressure
R_a      | J/kg/K    | constant | specific gas constant of air
eta_0    | Pa*s      | constant | viscosity of air at T_0
lambda_0 | W/m/K     | constant | thermal conductivity of air at T_0
T_0      | K         | constant | reference temperature of the air properties
T_eta    | K         | constant | Sutherland temperature of the viscosity
T_lambda | K         | constant | Sutherland temperature of the conductivity
mu_0     | H/m       | constant | magnetic constant
sigma_SB | W/m**2/K**4 | constant | Stefan-Boltzmann constant
g_n      | m/s**2    | constant | standard gravity
c_v      | 1         | derived  | largest stress over density times rim speed squared
v_r      | m/s       | derived  | speed of the rotor's surface
sigma_m  | Pa        | derived  | largest mechanical stress of a rotating part
sigma_p  | Pa        | constant | proof stress
n_o      | 1         | constant | overspeed of the test over the speed in service
nu_p     | 1         | constant | Poisson's ratio
D_b      | m         | length   | diameter of the bore of a disc or ring
t_n      | m         | length   | thickness of a band round the rotor
rho_m    | kg/m**3   | constant | density of the parts a band holds
beta_r   | 1         | derived  | half the angle at the shaft between the ribs of the innermost barrier
d_i      | m         | derived  | diameter of a wire over its enamel
d_w      | m         | derived  | diameter of a wire's conductor
"""


def _read(table):
    """Return {name: Entry} of a table; a name that stands twice is refused, for help() would tell one meaning only."""
    entries = {}
    for line in filter(str.strip, table.splitlines()):
        name, *cells = (cell.strip() for cell in line.split("|"))
        if name in entries:
            raise ValueError(f"the symbol {name!r} stands twice in the table")
        entries[name] = Entry(*cells)
    return entries


ENTRIES = _read(_TABLE + TABLE + WINDING_TABLE)
SYMBOLS = {name: sp.Symbol(name, positive=True) for name in ENTRIES}
CONSTANTS = {SYMBOLS[name]: value for name, value in VALUES.items()}


def symbol(name):
    """Return the positive SymPy symbol of a quantity; KeyError names an unknown one."""
    return SYMBOLS[name]
