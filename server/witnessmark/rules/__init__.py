"""The shop's rules: plain data in, plain data out.

Nothing in this folder knows Flask, a database, a file or a clock. Time, identity and stored facts come in as
arguments. A rule that the phone needs offline has a twin of the same name in `client/rules`, with the same
function names, and both are held equal by `tests/vectors`. `tests/test_structure.py` enforces all of this.
"""
