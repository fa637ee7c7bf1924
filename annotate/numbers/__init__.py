"""What the tags of a session add up to.

Times are integer nanoseconds, shares and rates exact fractions, counts whole numbers; only the ends of
intervals and p values are floats. Whatever was out of sight or in a gap is in no figure but its own.
"""
