"""Second part of the table of `scaling.ground.symbols`: wire, duty, motion, supply, and the ways of heat inside."""

TABLE = """
u_e      | 1         | constant | enamel build over overall diameter of the finest wires
d_e      | m         | constant | overall diameter above which enamel grows more slowly than the wire
phi_w    | 1         | derived  | copper share of an enamelled wire
k_p      | 1         | constant | packing factor: overall area of the wires over the room for them
w_u      | m         | derived  | slot width
t_i      | m         | constant | thickness of the slot liner
S_n      | m**2      | derived  | room for wires in a slot
z_s      | 1         | derived  | conductors per slot
phi_n    | 1         | derived  | copper share of the whole slot, teeth left out
c_w      | 1         | constant | share of a slot's depth that wedge and separator take
d_v      | m         | derived  | depth of a slot that wedge and separator leave
z_w      | 1         | derived  | wires in a slot, strands counted
z_u      | 1         | constant | usual number of conductors per slot
d_f      | m         | constant | overall diameter of the finest wire that can be wound
d_m      | m         | constant | overall diameter of the thickest wire that is wound
d_n      | m         | derived  | narrowest room for wires between liners
s_e      | m         | constant | space between the lines of an etched coil
t_e      | m         | constant | insulation from layer to layer of an etched coil
tau_e    | m         | derived  | pitch of the lines of an etched coil
U        | V         | operating | rms voltage of a phase
w_t      | 1         | derived  | turns in series per phase
delta    | m         | derived  | skin depth
k_R      | 1         | derived  | resistance to alternating current over that to direct current
c_h      | J/kg/K    | constant | specific heat
t_h      | s         | derived  | thermal time constant at work
t_c      | s         | derived  | thermal time constant at rest, cooling without its fan
P_v      | W         | derived  | all losses
t_1      | s         | operating | time
t_w      | s         | operating | time at work
t_p      | s         | operating | pause
theta_0  | K         | derived  | temperature rise at the start
m_r      | 1         | constant | pull-out reserve: largest over rated torque
a_t      | 1         | derived  | resistance over impedance of what the rotor's resistance sees
Y_e      | S         | derived  | largest current over the voltage of the magnets' field
theta_1  | K         | derived  | temperature rise after a time
theta_e  | K         | derived  | temperature rise after a long time
phi_d    | 1         | derived  | duty factor: time at work over that of a cycle
p_o      | 1         | derived  | losses over those of continuous duty
c_k      | 1         | constant | share of the continuous losses that does not change with load
a_o      | 1         | derived  | current over that of continuous duty
theta_k  | K         | derived  | temperature rise after a time by losses that do not change with the current
theta_v  | K         | derived  | temperature rise after a time by losses that go with the current squared, continuous
theta_c  | K         | constant | temperature rise that a thermal class allows over a coolant of 40 °C
theta_u  | K         | constant | most that a cooler coolant adds to the rise of a thermal class
T_40     | K         | constant | coolant that rises of thermal classes refer to: 40 °C
s_b      | 1         | derived  | breakdown slip
s_l      | 1         | derived  | slip of the largest torque between rest and synchronism
T_m      | N*m       | derived  | largest torque: breakdown torque
Omega_0  | 1/s       | derived  | synchronous mechanical angular speed
n_T      | 1         | constant | swings of the torque in a turn of the field: 1 magnet, 2 reluctance
l_T      | 1         | operating | load torque over the largest torque
l_w      | 1         | operating | load torque of one sense, as of a weight, over the largest torque
l_f      | 1         | derived  | dry friction over the largest torque
l_v      | 1         | derived  | viscous friction at synchronous speed over the largest torque
d_c      | 1         | derived  | torque per slip of a damper cage over the largest torque
d_r      | 1         | derived  | torque of a damper cage at a slip over the largest torque
s_c      | 1         | derived  | slip from which a slipping rotor falls into step
B_t      | T         | constant | largest flux density in the teeth
epsilon_t | 1        | constant | turning share of a field: forward less backward wave over their sum
a_s      | 1         | constant | share of a pole that a shading ring encloses
w_s      | W/m**2/T**2 | derived | heat of shading rings per bore area over the square of the gap field
c_r      | 1         | derived  | backward wave over forward wave of the loading
f_b      | Hz        | derived  | loops the backward wave drives per second, weighed by their energy
lambda_e | 1         | constant | end winding's leakage permeance over mu_0 and length of end turn
q_Q      | W/m**2    | derived  | reactive power per bore area
lambda_t | 1         | derived  | leakage permeance of the tooth tips over mu_0 and length
sigma_d  | 1         | derived  | differential leakage: reactance of all other waves over that of the fundamental
sigma_k  | 1         | derived  | leakage of skew over the magnetising reactance
alpha_k  | 1         | constant | electrical angle between the ends of a skewed slot
N_2      | 1         | constant | bars of a cage
tau_v    | m         | length   | wave length of the slot ripple: the slot pitch
k_v      | 1         | derived  | peak of the slot ripple's fundamental over the mean field
v_v      | m/s       | operating | speed of the rotor's surface past the slots
w_v      | W/m**2/T**2 | derived | surface heat of a solid rotor over gap field squared
R_h      | K/W       | derived  | thermal resistance
S_h      | m**2      | derived  | surface of a part
C_h      | J/K       | derived  | heat capacity
C_w      | J/K       | derived  | heat capacity of the winding
C_r      | J/K       | derived  | heat capacity of all but the winding
R_w      | K/W       | derived  | thermal resistance from the winding to the rest of the machine
R_r      | K/W       | derived  | thermal resistance from the rest of the machine to the outside
c_m      | J/m**3/K  | constant | heat capacity of the frame's wall per volume
lambda_d | W/m/K     | derived  | thermal conductivity of the conductor
lambda_w | W/m/K     | derived  | thermal conductivity of the winding across its wires
lambda_r | W/m/K     | constant | thermal conductivity of what is between the wires: enamel, resin, voids
lambda_c | W/m/K     | constant | thermal conductivity of the core's sheet along it
lambda_s | W/m/K     | constant | thermal conductivity of the shaft
u_n      | 1         | derived  | half the core's length over the length of a conductor as a fin
kappa_t  | 1         | derived  | share of the core loss that arises in the teeth
c_i      | 1         | constant | liner over slot width in small slots
t_k      | m         | constant | thinnest liner: a coating
t_m      | m         | constant | usual liner of large slots
t_a      | m         | constant | film of air that the seat of the core in its frame is worth
t_b      | m         | constant | the same at a core of diameter D_1
D_1      | m         | constant | diameter of the core at which a seat is known
D_s      | m         | length   | diameter of the shaft
Ta       | 1         | derived  | Taylor number
h_i      | W/m**2/K  | constant | heat transfer coefficient to the inner air, rotor at rest
v_i      | m/s       | constant | speed of the rotor's surface that doubles it
t_f      | s         | derived  | time constant of the winding ahead of the rest
L_0      | W*ohm/K**2 | constant | number of Lorenz and Sommerfeld: thermal over electrical conductivity and temperature
M_c      | 1         | derived  | capture number: what slows a slipping rotor over what keeps it slipping
"""
