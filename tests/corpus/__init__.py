"""Two hundred requests over every endpoint and climate, with the hashes of their answers: what did a change move?"""
