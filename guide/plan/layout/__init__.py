"""Laying the prints of a panel, so that no two alike meet on either face.

`panels` asks for a project's front and back, and lays the rest half way; `lay` answers one question: how many squares
of each print (`counts`, or every stack one order turned), and which lies where (`colouring`). A panel is a grid graph,
whose two faces together are bipartite, so laying `by_parity` finds a proper colouring wherever the counts allow one; it
looks striped, which is why prettier beginnings (`patterns`, `anneal.fill`) are tried first and bettered by annealing.
Round blocks that are fixed neither need succeed: there `exhaustive` search finds a colouring or proves that there is
none. `faces` judges whatever came of it, and reads a layout put away.
"""
