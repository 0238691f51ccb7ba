"""Crank, cams and what stands above the piston: angles, positions, volumes.

`crank` is the exact mechanism, `events` the angles at which valves and lobes act, `drive` the
wheels and chains between crank and cam, `volumes` what the piston sweeps and leaves. Angles are
crank degrees unless a name says `cam`; lengths mm, volumes cm³. None of it is a substitute for
clay, a dial or turning the engine by hand.
"""
