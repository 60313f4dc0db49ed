"""The one place where symbols are made: name, SI unit, role and meaning of every quantity in the laws.

Every symbol is positive (slip included: a motoring machine), so that SymPy simplifies roots.
Roles: ``length`` scales with the machine, ``constant`` does not change with size (materials, ratios), ``operating`` is
what a supply or a load sets and a question about size must hold or free, ``derived`` follows through a formula.
"""

from dataclasses import dataclass

import sympy as sp

from scaling.ground.constants import VALUES


@dataclass(frozen=True)
class Entry:
    """One line of the symbol table."""

    unit: str
    role: str
    latex: str
    meaning: str


_TABLE = """
D        | m         | length   | D           | rotor diameter at the gap
L        | m         | length   | L           | active length
g        | m         | length   | g           | mechanical clearance between stator and rotor
tau_u    | m         | length   | \\tau_u     | slot pitch
b_u      | m         | length   | b_u         | slot opening
d_s      | m         | length   | d_s         | slot depth
t        | m         | length   | t           | thickness of the rotor's active layer
h_p      | m         | length   | h_p         | depth of the interpolar space below the pole face
D_o      | m         | derived  | D_o         | outside diameter
y        | m         | derived  | y           | radial thickness of the stator yoke
tau      | m         | derived  | \\tau       | pole pitch
k        | 1/m       | derived  | k           | wave number of the pole pitch
k_C      | 1         | derived  | k_C         | Carter's coefficient: effective gap over clearance
g_m      | m         | derived  | g_m         | magnetic gap
S_b      | m**2      | derived  | S_b         | bore area
S_o      | m**2      | derived  | S_o         | cooled outside area
V        | m**3      | derived  | V           | volume of the active envelope
I        | A         | derived  | I           | current of a conductor
F        | N         | derived  | F           | force
f_V      | N/m**3    | derived  | f_V         | force per volume
a_F      | m/s**2    | derived  | a           | acceleration
t_F      | s         | derived  | t_F         | time to cross the body's own length from rest
p_V      | W/m**3    | derived  | p_V         | power per volume
rho_b    | kg/m**3   | constant | \\rho_b     | density of a body
sigma    | S/m       | constant | \\sigma     | electrical conductivity
V_r      | m**3      | derived  | V_r         | volume of the rotor's active layer
m        | kg        | derived  | m           | mass
J        | kg*m**2   | derived  | J           | moment of inertia
ell      | m         | length   | \\ell       | length of a circuit
a_c      | m**2      | length   | a           | cross-section of a circuit
R        | ohm       | derived  | R           | resistance
X        | ohm       | derived  | X           | reactance
R_1      | ohm       | derived  | R_1         | resistance at the terminals, rotor at rest
X_1      | ohm       | derived  | X_1         | reactance without leakage, rotor at rest
R_e      | ohm       | derived  | R_e         | resistance at the terminals, rotor at full speed
X_e      | ohm       | derived  | X_e         | reactance without leakage, rotor at full speed
X_l      | ohm       | derived  | X_l         | leakage reactance of the winding
a_1      | 1         | constant | a_1         | current at rest over the continuous one
a_e      | 1         | derived  | a_e         | current over the continuous one
R_m      | 1/H       | derived  | R_m         | reluctance
mu       | H/m       | constant | \\mu        | permeability
c_D      | 1         | constant | c_D         | outside diameter over bore diameter
p        | 1         | constant | p           | pole pairs
f        | Hz        | operating | f           | electrical frequency
omega    | 1/s       | derived  | \\omega     | electrical angular frequency
v_s      | m/s       | derived  | v_s         | speed of the travelling field
s        | 1         | operating | s           | slip
Omega    | 1/s       | derived  | \\Omega     | mechanical angular speed
A        | A/m       | derived  | A           | peak of the fundamental linear current density
A_rms    | A/m       | derived  | A_\\mathrm{rms} | rms linear current density of the winding
J_rms    | A/m**2    | derived  | J_\\mathrm{rms} | rms current density in the conductor
k_w      | 1         | constant | k_w         | winding factor
c_q      | 1         | constant | q           | slots per pole and phase
rho_w    | kg/m**3   | constant | \\rho_w     | density of the conductor
c_e      | 1         | constant | c_e         | end turn length over pole pitch
e        | 1         | derived  | e           | end-winding share: conductor length outside the core over inside
e_r      | 1         | derived  | e_r         | end-ring share: end-ring loss over bar loss
phi_s    | 1         | constant | \\varphi_s  | copper share of the slot layer, teeth included
phi_t    | 1         | constant | \\varphi_t  | tooth share of the slot layer
phi_r    | 1         | constant | \\varphi_r  | conductor share of the rotor layer
rho      | ohm*m     | derived  | \\rho       | resistivity at working temperature
sigma_20 | S/m       | constant | \\sigma_{20} | electrical conductivity at 20 °C
alpha_20 | 1/K       | constant | \\alpha_{20} | temperature coefficient of resistance at 20 °C
T_20     | K         | constant | T_{20}      | reference temperature of the conductivity, 293.15 K
T        | K         | constant | T           | absolute temperature
sigma_s  | S         | derived  | \\sigma_s   | surface conductance of the rotor layer
q_w      | W/m**2    | derived  | q_w         | winding heat per bore area
q_c      | W/m**2    | derived  | q_c         | core heat per bore area
q_r      | W/m**2    | derived  | q_r         | rotor heat per bore area
q_f      | W/m**2    | derived  | q_f         | friction power per bore area
q_o      | W/m**2    | derived  | q_o         | heat per outside area
q_b      | W/m**2    | derived  | q_b         | heat the outside can pass, per bore area
w_A      | ohm       | derived  | w_A         | winding heat per bore area over A squared
w_B      | W/m**2/T**2 | derived | w_B        | core heat per bore area over B squared
w_1      | W/kg      | constant | w_1         | specific core loss at B_1 and f_1
B_1      | T         | constant | B_1         | flux density of the core loss figure, 1.5 T
f_1      | Hz        | constant | f_1         | frequency of the core loss figure, 50 Hz
c_b      | 1         | constant | c_b         | building factor: core loss in the machine over that of the sheet
rho_c    | kg/m**3   | constant | \\rho_c     | density of the core
B        | T         | derived  | B           | peak of the fundamental gap field
B_y      | T         | constant | B_y         | largest flux density in the yoke
B_l      | T         | derived  | B_l         | largest allowed gap field
B_m      | T         | derived  | B_m         | peak of the magnet's fundamental gap field
g_f      | m         | derived  | g_f         | gap of the field: tanh(k*g_m)/k
g_t      | m         | derived  | g_t         | gap of the shear stress: sinh(2*k*g_m)/(2*k)
Y_r      | 1         | derived  | Y_r         | surface admittance -mu_0*H_x/(k*A_z) of the rotor, real part
Y_i      | 1         | derived  | Y_i         | surface admittance of the rotor, imaginary part: it carries the power
z_b      | 1         | derived  | z_b         | bar depth over skin depth at slip frequency
sigma_t  | Pa        | derived  | \\sigma_t   | shear stress on the rotor
Lambda   | 1         | derived  | \\Lambda    | rotor response
G        | 1         | derived  | G           | goodness
x        | 1         | derived  | x           | slip times goodness
T_e      | N*m       | derived  | T_e         | electromagnetic torque
beta_w   | 1         | derived  | \\beta_w    | slip heat over gap power scale: v_s*mu_0/(2*k*g_m*w_A)
beta_c   | 1         | derived  | \\beta_c    | core heat of the open gap over winding heat: w_B*(mu_0/(k*g_m))**2/w_A
chi      | 1         | derived  | \\chi       | linear current density over that which sets up the field limit
tan_delta | 1        | derived  | \\tan\\delta | tangent of the load angle
H        | A/m       | derived  | H           | peak field strength in the ring
H_c      | A/m       | constant | H_c         | coercivity
H_a      | A/m       | constant | H_a         | field constant of the anhysteretic curve
H_b      | A/m       | constant | H_b         | field constant of the cells pinned near the coercivity
H_k      | A/m       | derived  | H_k         | largest pinning field overcome: the smaller of H and 2*H_c
H_i      | A/m       | derived  | H_i         | the smaller of H and (1 + w_c)*H_c: the most pinned of them
H_j      | A/m       | derived  | H_j         | the smaller of H and (1 - w_c)*H_c: the least pinned of them
m_c      | 1         | constant | m_c         | share of the cells that are pinned near the coercivity
w_c      | 1         | constant | w_c         | half the width of their band of pinning fields over H_c
B_r      | T         | constant | B_r         | remanence
B_s      | T         | constant | B_s         | saturation flux density
B_p      | T         | derived  | B_p         | peak flux density of the loop
B_i      | T         | derived  | B_i         | in-phase part of the fundamental flux density of the loop
i_0      | 1         | constant | i_0         | hump coefficient of the in-phase ratio, cells spread evenly
i_1      | 1         | constant | i_1         | first coefficient of the in-phase ratio, cells spread evenly
i_2      | 1         | constant | i_2         | second coefficient of the in-phase ratio, cells spread evenly
i_3      | 1         | constant | i_3         | third coefficient of the in-phase ratio, cells spread evenly
i_4      | 1         | constant | i_4         | fourth coefficient of the in-phase ratio, cells spread evenly
j_2      | 1         | constant | j_2         | second coefficient of the in-phase ratio, cells pinned near H_c
j_3      | 1         | constant | j_3         | third coefficient of the in-phase ratio, cells pinned near H_c
j_4      | 1         | constant | j_4         | fourth coefficient of the in-phase ratio, cells pinned near H_c
W_h      | J/m**3    | derived  | W_h         | loop energy per volume and cycle
mu_r     | 1         | derived  | \\mu_r      | amplitude of the relative permeability of the fundamental
gamma    | 1         | derived  | \\gamma     | hysteresis angle: lag of B behind H
N        | 1         | derived  | N           | ring number: gap reluctance over ring reluctance
alpha    | 1         | constant | \\alpha     | pole arc over pole pitch
r        | 1         | derived  | r           | permeance over the interpolar space relative to the pole face
h_d      | m         | derived  | h_d         | interpolar depth that counts in the d axis
h_q      | m         | derived  | h_q         | interpolar depth that counts in the q axis
w_f      | m         | derived  | w_f         | pole width whose flux the fringing of one pole edge is worth
n_b      | 1         | constant | n_b         | flux barriers per pole
kappa_b  | 1         | constant | \\kappa_b   | barrier share of the rotor's depth
g_e      | m         | derived  | g_e         | magnetic gap of a barrier rotor, its mouths included
t_r      | m         | length   | t_r         | thickness of the iron ribs that close the barriers
B_rib    | T         | constant | B_\\mathrm{rib} | flux density of a saturated rib
B_e      | T         | derived  | B_e         | fundamental gap field of the ribs' flux
zeta     | 1         | derived  | \\zeta      | rib share: flux the ribs let past the barriers over the d-axis flux
P_d      | 1         | derived  | P_d         | d-axis permeance relative to the smooth gap
P_q      | 1         | derived  | P_q         | q-axis permeance relative to the smooth gap
xi       | 1         | derived  | \\xi        | saliency ratio
h        | W/m**2/K  | derived  | h           | heat transfer coefficient
theta    | K         | operating | \\theta     | temperature rise
T_a      | K         | constant | T_a         | ambient temperature
T_f      | K         | derived  | T_f         | film temperature
lambda_f | W/m/K     | derived  | \\lambda_f  | thermal conductivity of the coolant
nu_f     | m**2/s    | derived  | \\nu_f      | kinematic viscosity of the coolant
eta_f    | Pa*s      | derived  | \\eta_f     | dynamic viscosity of the coolant
rho_f    | kg/m**3   | derived  | \\rho_f     | density of the coolant
Pr       | 1         | constant | \\mathrm{Pr} | Prandtl number
Ra       | 1         | derived  | \\mathrm{Ra} | Rayleigh number
Re       | 1         | derived  | \\mathrm{Re} | Reynolds number
Nu       | 1         | derived  | \\mathrm{Nu} | Nusselt number
epsilon  | 1         | constant | \\varepsilon | emissivity
v_f      | m/s       | constant | v_f         | speed of the coolant
lambda_m | W/m/K     | constant | \\lambda_m  | thermal conductivity of the surrounding medium
C_f      | 1         | derived  | C_f         | torque coefficient of the smooth rotor
M_f      | N*m       | derived  | M_f         | friction torque
c_f      | 1         | constant | c_f         | bearing friction coefficient
c_d      | 1         | constant | c_d         | bearing diameter over rotor diameter
Pi       | 1         | derived  | \\Pi        | pull-in number
R_1      | ohm       | derived  | R_1         | resistance of a stator phase
X_1      | ohm       | derived  | X_1         | leakage reactance of a stator phase
R_2      | ohm       | derived  | R_2         | resistance of a rotor phase, referred to the stator
X_2      | ohm       | derived  | X_2         | leakage reactance of a rotor phase at standstill, referred to the stator
X_m      | ohm       | derived  | X_m         | magnetising reactance of a phase
R_g      | ohm       | derived  | R_g         | resistance of rotor and magnetising branch in series form
X_g      | ohm       | derived  | X_g         | reactance of rotor and magnetising branch in series form
R_t      | ohm       | derived  | R_t         | resistance of the source that the rotor branch sees (Thevenin)
X_t      | ohm       | derived  | X_t         | reactance of the source that the rotor branch sees (Thevenin)
U_t      | V         | derived  | U_t         | rms open-circuit voltage that the rotor branch sees (Thevenin)
I_1      | A         | derived  | I_1         | rms current of a stator phase
I_2      | A         | derived  | I_2         | rms current of a rotor phase, referred to the stator
cos_phi  | 1         | derived  | \\cos\\varphi | power factor
m_1      | 1         | constant | m_1         | phases of the stator
P_1      | W         | derived  | P_1         | electric power taken in
P_w      | W         | derived  | P_w         | winding loss of the stator
P_g      | W         | derived  | P_g         | power that crosses the gap
P_r      | W         | derived  | P_r         | winding loss of the rotor
P_f      | W         | derived  | P_f         | rotational loss: friction, fan, and the core where it is not told apart
P_2      | W         | derived  | P_2         | power at the shaft
eta      | 1         | derived  | \\eta       | efficiency
p_a      | Pa        | constant | p_a         | air pressure
R_a      | J/kg/K    | constant | R_a         | specific gas constant of air
eta_0    | Pa*s      | constant | \\eta_0     | viscosity of air at T_0
lambda_0 | W/m/K     | constant | \\lambda_0  | thermal conductivity of air at T_0
T_0      | K         | constant | T_0         | reference temperature of the air properties
T_eta    | K         | constant | T_\\eta     | Sutherland temperature of the viscosity
T_lambda | K         | constant | T_\\lambda  | Sutherland temperature of the conductivity
mu_0     | H/m       | constant | \\mu_0      | magnetic constant
sigma_SB | W/m**2/K**4 | constant | \\sigma_{SB} | Stefan-Boltzmann constant
g_n      | m/s**2    | constant | g_n         | standard gravity
c_v      | 1         | derived  | c_v         | largest stress over density times rim speed squared
v_r      | m/s       | derived  | v_r         | speed of the rotor's surface
sigma_m  | Pa        | derived  | \\sigma_m   | largest mechanical stress of a rotating part
sigma_p  | Pa        | constant | \\sigma_p   | proof stress
n_o      | 1         | constant | n_o         | overspeed of the test over the speed in service
nu_p     | 1         | constant | \\nu_p      | Poisson's ratio
D_b      | m         | length   | D_b         | diameter of the bore of a disc or ring
t_n      | m         | length   | t_n         | thickness of a band round the rotor
rho_m    | kg/m**3   | constant | \\rho_m     | density of the parts a band holds
beta_r   | 1         | derived  | \\beta_r    | half the angle at the shaft between the ribs of the innermost barrier
w_r      | m         | derived  | w_r         | length of a rib: width of the barrier's mouth
d_i      | m         | derived  | d_i         | diameter of a wire over its enamel
d_w      | m         | derived  | d_w         | diameter of a wire's conductor
u_e      | 1         | constant | u_e         | enamel build over overall diameter of the finest wires
d_e      | m         | constant | d_e         | overall diameter above which enamel grows more slowly than the wire
phi_w    | 1         | derived  | \\varphi_w  | copper share of an enamelled wire
k_p      | 1         | constant | k_p         | packing factor: overall area of the wires over the room for them
w_u      | m         | derived  | w_u         | slot width
t_i      | m         | constant | t_i         | thickness of the slot liner
S_n      | m**2      | derived  | S_n         | room for wires in a slot
z_s      | 1         | derived  | z_s         | conductors per slot
phi_n    | 1         | derived  | \\varphi_n  | copper share of the whole slot, teeth left out
U        | V         | operating | U          | rms voltage of a phase
w_t      | 1         | derived  | w_t         | turns in series per phase
delta    | m         | derived  | \\delta     | skin depth
q_d      | 1         | derived  | q_d         | radius of a wire over the skin depth
k_R      | 1         | derived  | k_R         | resistance to alternating current over that to direct current
h_c      | m         | length   | h_c         | height of a layer of conductor in a slot
phi_c    | 1         | constant | \\varphi_c  | conductor width over slot width
z_c      | 1         | derived  | z_c         | height of a layer over its skin depth
m_z      | 1         | constant | m_z         | layers of conductor above each other in a slot
epsilon_R | 1        | constant | \\varepsilon_R | additional loss over that of direct current
c_h      | J/kg/K    | constant | c_h         | specific heat
t_h      | s         | derived  | t_h         | thermal time constant at work
t_c      | s         | derived  | t_c         | thermal time constant at rest, cooling without its fan
P_v      | W         | derived  | P_v         | all losses
t_1      | s         | operating | t_1        | time
t_w      | s         | operating | t_w        | time at work
t_p      | s         | operating | t_p        | pause
theta_0  | K         | derived  | \\theta_0   | temperature rise at the start
theta_1  | K         | derived  | \\theta_1   | temperature rise after a time
theta_e  | K         | derived  | \\theta_e   | temperature rise after a long time
phi_d    | 1         | derived  | \\varphi_d  | duty factor: time at work over that of a cycle
p_o      | 1         | derived  | p_o         | losses over those of continuous duty
c_k      | 1         | constant | c_k         | share of the continuous losses that does not change with load
a_o      | 1         | derived  | a_o         | linear current density over that of continuous duty
s_b      | 1         | derived  | s_b         | breakdown slip
s_e      | 1         | operating | s_e        | slip at the end of the run-up
s_l      | 1         | derived  | s_l         | slip at which a load settles
T_m      | N*m       | derived  | T_m         | largest torque: breakdown torque
Omega_0  | 1/s       | derived  | \\Omega_0   | synchronous mechanical angular speed
t_a      | s         | derived  | t_a         | run-up time
W_r      | J         | derived  | W_r         | heat of the rotor in a run-up
n_T      | 1         | constant | n_T         | swings of the torque in a turn of the field: 1 magnet, 2 reluctance
psi_0    | 1         | operating | \\psi_0    | phase of the torque at the start, 0 where field and rotor align
P_a      | 1         | derived  | P_a         | share of starting angles from which the rotor is caught
l_T      | 1         | operating | l_T        | load torque over the largest torque
l_w      | 1         | operating | l_w        | load torque of one sense, as of a weight, over the largest torque
l_f      | 1         | derived  | l_f         | dry friction over the largest torque
l_v      | 1         | derived  | l_v         | viscous friction at synchronous speed over the largest torque
d_c      | 1         | derived  | d_c         | torque per slip of a damper cage over the largest torque
B_t      | T         | constant | B_t         | largest flux density in the teeth
epsilon_t | 1        | constant | \\varepsilon_t | turning share of a field: forward less backward wave over their sum
c_r      | 1         | derived  | c_r         | backward wave over forward wave of the loading
f_b      | Hz        | derived  | f_b         | loops the backward wave drives per second, weighed by their energy
lambda_e | 1         | constant | \\lambda_e  | end winding's leakage permeance over mu_0 and length of end turn
q_Q      | W/m**2    | derived  | q_Q         | reactive power of slots and end winding per bore area
tau_v    | m         | length   | \\tau_v     | wave length of the slot ripple: the slot pitch
k_v      | 1         | derived  | k_v         | peak of the slot ripple's fundamental over the mean field
v_v      | m/s       | operating | v_v         | speed of the rotor's surface past the slots
w_v      | W/m**2/T**2 | derived | w_v        | surface heat of a solid rotor over gap field squared
M_c      | 1         | derived  | M_c         | capture number: what slows a slipping rotor over what keeps it slipping
"""


def _read(table):
    rows = (tuple(cell.strip() for cell in line.split("|")) for line in table.strip().splitlines())
    return {name: Entry(unit, role, latex, meaning) for name, unit, role, latex, meaning in rows}


ENTRIES = _read(_TABLE)
SYMBOLS = {name: sp.Symbol(name, positive=True) for name in ENTRIES}
CONSTANTS = {SYMBOLS[name]: value for name, value in VALUES.items()}


def symbol(name):
    """Return the positive SymPy symbol of a quantity; KeyError names an unknown one."""
    return SYMBOLS[name]


def latex_names():
    """Return the mapping SymPy's printer wants: symbol to LaTeX text."""
    return {SYMBOLS[name]: entry.latex for name, entry in ENTRIES.items()}
