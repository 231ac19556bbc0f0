"""The demo job: an invented bike with sensible values."""

from __future__ import annotations

from tui.job.job import Job, all_invented, parse

_TEXT = """\
format = 1
title = "Demo trail bike (invented figures)"

[load]
rider_mass = "82 kg"
posture = "standing"
bike_mass = "15 kg"
bike_share = 0.52
unsprung_mass = "4.3 kg"

[frame]
wheel_travel = "148 mm"
stroke = "60 mm"
eye_to_eye = "230 mm"

[frame.leverage]
kind = "ends"
start = 2.78
middle = 2.46
end = 2.22

[target]
sag = "29 %"
of = "travel"

[ambient]
temperature = "20 degC"
altitude = "350 m"

[[setup]]
name = "coil"
kind = "coil"
rate = "solve"
preload_turns = 1.5
thread_pitch = "1.25 mm"
max_preload_turns = 3.0
ladder_step = "25 lbf/in"
free_length = "152 mm"
solid_length = "84 mm"
rated_stroke = "64 mm"
friction = "14 N"
mass = "0.46 kg"
rod = "12 mm"
gas_pressure = "170 psi"
gas_volume = "18 cm3"
bumper_length = "10 mm"
bumper_force = "1500 N"

[[setup]]
name = "air"
kind = "air"
pressure = "solve"
max_pressure = "320 psi"
bore = "41 mm"
rod = "9.5 mm"
body = "28 mm"
positive_volume = "112 cm3"
positive_spacers = 1
positive_spacer_volume = "5 cm3"
negative = "equalised"
negative_volume = "24 cm3"
negative_spacers = 0
negative_spacer_volume = "4 cm3"
port = "8 mm"
hose_volume = "5 cm3"
friction = "32 N"
mass = "0.12 kg"
gas_pressure = "190 psi"
gas_volume = "14 cm3"
bumper_length = "7 mm"
bumper_force = "900 N"

[front.load]
unsprung_mass = "2.1 kg"

[front.frame]
stroke = "160 mm"

[front.frame.leverage]
kind = "fork"
head_angle = "64.5 deg"

[front.target]
sag = "21 %"
of = "travel"

[[front.setup]]
name = "fork"
kind = "air"
pressure = "solve"
max_pressure = "150 psi"
bore = "34 mm"
body = "10 mm"
positive_volume = "235 cm3"
positive_spacers = 1
positive_spacer_volume = "7 cm3"
negative = "equalised"
negative_volume = "26 cm3"
negative_spacers = 0
negative_spacer_volume = "4 cm3"
port = "2 mm"
hose_volume = "5 cm3"
friction = "22 N"
mass = "0.16 kg"
bumper_length = "8 mm"
bumper_force = "600 N"
lower_leg_volume = "290 cm3"
stanchion_diameter = "38 mm"
"""


def demo_job() -> Job:
    """Return the demo job; all its values are unconfirmed."""
    return Job(all_invented(parse(_TEXT).tree))
