"""One stage, several rotors: a rotor type is a module with what induction.py has."""

from scaling.machines import hysteresis, induction, magnet, reluctance

ROTORS = {rotor.KIND: rotor for rotor in (induction, hysteresis, reluctance, magnet)}
YARDSTICK = magnet.KIND  # shown always, competes only if the brief allows it
