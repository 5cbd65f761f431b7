"""Names the readers compare with: element symbols and the edges of the XDI dictionary, in lower case.

Names only; no number about an element stands here.
"""

from __future__ import annotations

_SYMBOLS = """
    h he li be b c n o f ne na mg al si p s cl ar k ca sc ti v cr mn fe co ni cu zn
    ga ge as se br kr rb sr y zr nb mo tc ru rh pd ag cd in sn sb te i xe cs ba la ce pr nd
    pm sm eu gd tb dy ho er tm yb lu hf ta w re os ir pt au hg tl pb bi po at rn fr ra ac th
    pa u np pu am cm bk cf es fm md no lr rf db sg bh hs mt ds rg cn nh fl mc lv ts og uut uup
    uus uuo
"""
SYMBOLS = frozenset(_SYMBOLS.split())
"""The last four are placeholders that the XDI dictionary still lists."""
_EDGES = "k l l1 l2 l3 m m1 m2 m3 m4 m5 n n1 n2 n3 n4 n5 n6 n7 o o1 o2 o3 o4 o5 o6 o7"
EDGES = frozenset(_EDGES.split())
