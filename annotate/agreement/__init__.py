"""A second look: how far the tags of a session can be trusted.

The same footage tagged twice, by one person or two, without sight of the first tags. Agreement is measured
apart for what lasts (kappa over time) and for instants (matching): the two tell different things (Bakeman,
Quera and Gnisci 2009, Behav Res Methods 41:137). What is not defined is None with a reason, never 0 or 1.
"""
