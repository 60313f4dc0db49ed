"""One stator, several rotors: a rotor type is a file with a record ``ROTOR``, named here."""

from scaling.machines import hysteresis, induction, magnet, reluctance

ROTORS = {module.ROTOR.kind: module.ROTOR for module in (induction, hysteresis, reluctance, magnet)}
YARDSTICK = magnet.ROTOR.kind  # shown always, competes only if the brief allows it
