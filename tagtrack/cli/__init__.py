"""WHAT IS TYPED: the command line. The only folder that knows click; it wires everything together."""
