"""Which duties of an annual or 100-hour inspection a set of cards fulfils. Server only.

The groups are those of 14 CFR part 43, Appendix D, paragraphs (a) to (j); what rotorcraft add is 43.15(b)(1) to (4);
what the run of a reciprocating engine must show is 43.15(c)(2)(i) to (iv). Titles are paraphrased.
"""

_GROUPS = {
    "a": "Open and clean", "b": "Fuselage and hull", "c": "Cabin and cockpit", "d": "Engine and nacelle",
    "e": "Landing gear", "f": "Wing and centre section", "g": "Empennage", "h": "Propeller", "i": "Radio",
    "j": "Each other installed item",
}
_ROTORCRAFT = {
    "1": "Drive shafts or similar systems", "2": "Main rotor transmission gear box",
    "3": "Main rotor and centre section", "4": "Auxiliary (tail) rotor",
}
_RUN_UP = {
    "i": "Power output, static and idle rpm", "ii": "Magnetos", "iii": "Fuel and oil pressure",
    "iv": "Cylinder and oil temperature",
}
DUTIES = {
    **{f"43D-{letter}": {"title": title, "source": f"14 CFR part 43, Appendix D, paragraph ({letter})"}
       for letter, title in _GROUPS.items()},
    **{f"43.15-b-{number}": {"title": title, "source": f"14 CFR 43.15(b)({number})"}
       for number, title in _ROTORCRAFT.items()},
    **{f"43.15-c-{number}": {"title": title, "source": f"14 CFR 43.15(c)(2)({number})"}
       for number, title in _RUN_UP.items()},
}


def uncovered(templates):
    """Codes of the duties that no item of these `templates` fulfils, in the order of DUTIES."""
    covered = {code for template in templates for zone in template["zones"] for item in zone["items"]
               for code in item.get("covers", ())}
    return [code for code in DUTIES if code not in covered]
