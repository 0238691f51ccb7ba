"""What a bolt is, what a torque does to it, and whether it fits its hole.

`threads` holds ISO metric threads and property classes, `torque` the way from a wrench to a clamp
load, `bolts` lengths, engagement and holes. Lengths are in mm, torques in N·m, forces in N,
stresses in MPa. The maker's torque comes first: nothing here makes one.
"""
