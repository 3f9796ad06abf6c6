"""An independent referee: hand-written state equations, a general-purpose integrator, own measurements.

It shares no code and no method with the program: the program propagates each conduction pattern by
matrix exponentials, the referee lets an eighth-order Runge-Kutta pair step through equations that
were worked out on paper for each circuit.
"""
