"""The design file that `drytank new` writes: a small lipped runner, with a word on everything."""

STARTER = """\
# A drytank design. Measure your own lure, change the values, then run:   drytank trial THIS_FILE
#
# Every value has its unit, as you would write it: "3/8 oz", "2 3/4 in", "18.4 g", "18 mL", "8 lb", "18 C".
# Say how sure you are with +-, as in "4.1 +- 0.1 g", and the answers say how sure they are.
# A place is told from the tip of the nose: back (toward the tail), up (above the axis), left. What you
# leave out is 0. Lines that start with # do nothing; take the # away to use them.

name = "First runner"
about = "A wooden body, a clear lip, two hooks. Change me."

[water]
kind = "fresh"                  # or "salt"
temperature = "18 C"
depth = "4 m"

# ---- bodies: as many as you like, each with a name of your own ([body.main], [body.head], ...) ----
[body.main]
shape = "ellipsoid"             # or "stations" (see below), "outline" (drawn) or "mesh" (an STL file)
length = "70 mm"
width = "18 mm"
height = "22 mm"
material = "cedar"
# density = "0.36 g/cm3"        # beats the material's; better still:
# weight = "5.2 +- 0.1 g"       # the bare body on the scale
# displaced = "14.5 +- 0.3 mL"  # the bare body dunked
# wall = "1.5 mm"               # makes it hollow; or: cavity = "9 mL" (filled with water and measured)
# fill = "foam"                 # what is in the hollow; air if left out

# A body by stations: measure width and height with a calliper, nose to tail.
# [body.main]
# shape = "stations"
# stations = [
#     { back = "0 mm", width = "0 mm", height = "0 mm" },
#     { back = "12 mm", width = "14 mm", height = "18 mm" },
#     { back = "40 mm", width = "16 mm", height = "20 mm", up = "1 mm" },
#     { back = "70 mm", width = "4 mm", height = "5 mm" },
# ]
# material = "cedar"

# ---- thin flat parts: a lip, fin, tail, blade or spoon ----
[plate.lip]
role = "lip"
root = { back = "6 mm", up = "-6 mm" }   # middle of the edge that sits in the body
length = "22 mm"
width = "20 mm"
thickness = "1.5 mm"
angle = "40 deg"                # turned down from the axis: 0 points ahead, 90 straight down
outline = "round"
material = "polycarbonate"

# ---- hooks and fittings: their weight acts where they hang ----
[hook.belly]
at = { back = "28 mm", up = "-11 mm" }
weight = "1.3 g"
size = "18 mm"

[hook.tail]
at = { back = "70 mm" }
weight = "1.3 g"
size = "18 mm"

[fitting.nose_ring]
at = { back = "0 mm" }
weight = "0.2 g"
size = "6 mm"

# ---- weights set in ----
[ballast.keel]
at = { back = "31 mm", up = "-6.2 mm" }
weight = "4.5 g"
material = "lead"               # or "tungsten", "brass", "steel", ...
place = "drilled"               # or "cavity" (lies in a hollow), "outside" (hangs on)

[paint]
weight = "0.6 g"                # gain on the scale

# ---- where the line may be tied: name as many points as you want compared ----
[tie_on.nose]
at = { back = "0 mm" }

[tie_on.lip]
at = { back = "1 mm", up = "-10 mm" }

[line]
material = "nylon"              # or "fluorocarbon", "braid", "lead-core"
diameter = "0.28 mm"
# strength = "8 lb"

[cast]
speed = "22 m/s"                # of the lure as the line runs free: a firm cast
angle = "40 deg"                # of its path above level
rod = "2.1 m"
wind = "0 m/s"                  # from behind you; negative is in your face

[retrieve]
speeds = ["0.4 m/s", "0.8 m/s", "1.2 m/s"]
tip = "0.8 m"                   # rod tip above the water
distance = "15 m"

# ---- what the finished lure, hooks and all, gave at the bench: beats everything computed ----
# [measured]
# weight = "12.2 +- 0.1 g"
# displaced = "15.6 +- 0.3 mL"
# balance = "34 +- 1 mm"        # behind the nose, laid on an edge
"""
