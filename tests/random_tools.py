"""Random facts of tools and questions to the published tables: see random_values."""

from witnessmark.rules import published
from witnessmark.rules.problems import Problem
from witnessmark.rules.tool_facts import check_facts


def _row_inputs(dice):
    rows = [row[:2] for row in dice.table() if len(row) > 1]
    facts = None if dice.often(0.03) else {
        "use": "tensiometer", "unit": "lbf", "tables": [{"column": "1/8 7×19", "rows": rows}]}
    dial = dice.choice(rows)[0] if rows and dice.often(0.3) else dice.mostly(-5, 120)
    return [facts, "1/8 7×19" if dice.often(0.95) else "other", dial]


def facts(dice):
    """What a register knows of a tool, mostly allowed."""
    def amount(high):
        return None if dice.often(0.2) else dice.mostly(0, high)
    if dice.often(0.05):
        return dice.choice([None, {}, {"use": "rule"}, {"use": 3}, "gauge", {"use": "gauge", "unit": "in"}])
    use = dice.choice(["torque_wrench", "gauge", "tensiometer"])
    if use == "gauge":
        return {"use": use, "unit": dice.unit(), "tolerance": amount(2), "graduation": amount(2)}
    if use == "tensiometer":
        columns = [{"column": name, "rows": dice.table()} for name in dice.sample(["1/8", "3/16", "1/8", " "], 2)]
        columns = columns[:dice.choice([0, 1, 1, 2])]
        return {"use": use, "unit": dice.unit("force" if dice.often(0.9) else None), "tables": columns}
    length = amount(40)
    return {"use": use, "unit": dice.unit("torque" if dice.often(0.9) else None), "full_scale": dice.mostly(1, 600),
            "graduation": amount(9), "tolerance_percent": amount(9), "length": length,
            "length_unit": None if length is None or dice.often(0.05) else dice.unit("length")}


def known_facts(dice):
    """Facts as they stand in the register: allowed ones."""
    while True:
        try:
            return check_facts(facts(dice))
        except Problem:
            continue


def _thread(dice):
    return dice.choice([*published.TORQUE, *published.PREVAILING, "5-40", "1/4", "constructor"])


CASES = {
    "tool_facts.check_facts": lambda dice: [facts(dice)],
    "tool_facts.check_table": lambda dice: ["1/8", dice.table()],
    "tool_facts.inputs_of": lambda dice: [known_facts(dice), dice.unit()],
    "tool_facts.row_inputs": _row_inputs,
    "published.torque_range": lambda dice: [_thread(dice), dice.choice([*published.NUTS, "castle"])],
    "published.prevailing_torque": lambda dice: [_thread(dice)],
    "published.wire_damage": lambda dice: [dice.choice(["copper", "aluminium", "gold"]),
                                           dice.choice(["22", "00", "0", "1", "4", "24", "6", "0000", "99"])],
    "published.cable_strength": lambda dice: [dice.choice([*published.CABLE, "1/2 7×19"]),
                                              dice.choice(["carbon", "corrosion_resistant", "brass"])],
}
