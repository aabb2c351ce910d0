"""Whether a part works in each receptacle, which carriers would, and why a part is not there."""
