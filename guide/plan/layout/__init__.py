"""Laying the prints of a panel, so that no two alike meet on either face.

`panels` asks for a project's front and back; `lay` answers one question: how many squares of each print (`counts`, or
`rotate` where every stack is one order turned), and which lies where (`colouring`). A panel is a grid graph, whose two
faces together are bipartite, so laying `by_parity` finds a proper colouring wherever the counts allow one; it looks
striped, which is why prettier beginnings (`patterns`, `anneal.fill`) are tried first and bettered by annealing. Round
blocks that are fixed neither need succeed: there `exhaustive` search finds a colouring or proves that there is none.
`rearrange` lays the rest half way, `kept` reads a layout put away, and `faces` judges whatever came of it.
"""
