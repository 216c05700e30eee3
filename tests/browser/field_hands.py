"""What a hand types into each kind of field, with values inside its limits. `hand` is a Walker."""

from decimal import Decimal

from witnessmark.demo import FACTS

SHOP_TOOLS = FACTS["tools"]
COUNTED = ("wires", "strands", "threads", "turns")
RUNS = {"first_ips": "0.61", "first_clock": "3.0", "trial_mass": "5.2", "trial_clock": "6.0", "second_ips": "0.43",
        "second_clock": "4.5"}
HOURS_THEN, HOURS_NOW = "1209.7", "1234.5"
ON_BOTH = Decimal(2612)


def middle(limits):
    """The middle of a pair of limits; well inside when there is only one."""
    least, most = ((limits or {}).get(end) for end in ("min", "max"))
    if least and most:
        return (Decimal(least) + Decimal(most)) / 2
    return Decimal(least) * 2 if least else Decimal(most) / 2 if most else Decimal("1.5")


def choose(hand, item, field):
    """One of the options, by its words."""
    value = (field["acceptable"] or field["options"])[0]
    hand.page.get_by_role("group", name=field["title"]).get_by_text(value, exact=True).click()
    hand.typed.append((item["item"], value))


def measure(hand, item, field):
    """The tolerance of a tool that the shop does not know is typed where the card's decision counts it."""
    limits = _limits_at(hand, item, field)
    if "decision" in field:
        hand.type(item, field, "tolerance", "0.0004")
    for place, pair in enumerate(limits):
        value = int(middle(pair)) if field["unit"] in COUNTED else middle(pair) + Decimal("0.0001") * place
        hand.type(item, field, place, str(value))


def run_out(hand, item, field):
    step = Decimal(field["limits"]["max"]) / 10
    for place in range(len(field["stations"])):
        hand.type(item, field, place, str(step * (place % 5)))
    if "return_within" in field:
        hand.type(item, field, "back", "0.000")


def torque(hand, item, field):
    """With its drag; every second one through an extension as long as a quarter of the wrench: four fifths are set."""
    wanted, told = middle(field["limits"]), field.get("torque", {})
    if told.get("drag"):
        drag = wanted / 50
        hand.type(item, field, "drag", str(drag))
        wanted += drag
    if hand.turn % 2:
        own = hand.page.locator("torque-field", has=hand.page.locator(f"#{field['field']}-0"))
        own.locator("summary", has_text="Extension on the wrench").click()
        hand.type(item, field, "wrench_length", "10.0")
        hand.type(item, field, "extension", "2.5")
        if told.get("drag"):
            own.get_by_text("Read at the fastener", exact=True).click()
        wanted = wanted * 4 / 5
    hand.type(item, field, 0, str(wanted))


def compression(hand, item, field):
    """One cylinder after another, as the page shows them."""
    told = field["compression"]
    supply, floor = Decimal(told["supply"]), Decimal((field["limits"] or {"min": "50"})["min"])
    if told["mode"] == "master_orifice":
        hand.type(item, field, "master_orifice", str(floor))
    for place, _ in enumerate(field["stations"]):
        hand.type(item, field, place, str(int((supply + floor) / 2) + place))
        hand.page.get_by_role("radiogroup", name="Where is the air heard?").get_by_text("Nowhere").click()
        if place + 1 < len(field["stations"]):
            hand.page.get_by_role("button", name=f"Next: {field['stations'][place + 1]}").click()


def drop(hand, item, field):
    hand.type(item, field, "base", str(ON_BOTH))
    for place, _ in enumerate(field["stations"]):
        hand.type(item, field, place, str(ON_BOTH - middle(field["limits"]) - 3 * place))


def rate(hand, item, field):
    hours = Decimal(HOURS_NOW) - Decimal(HOURS_THEN)
    hand.type(item, field, 0, str(middle(field["limits"]) * hours))
    hand.type(item, field, "hours_then", HOURS_THEN)
    hand.type(item, field, "hours_now", HOURS_NOW)


def look_up(hand, item, field):
    """The instrument, its column, then a dial reading halfway between two lines of its table."""
    tool = next(tool for tool in SHOP_TOOLS if tool["kind"] == field["tool"])
    group = hand.page.get_by_role("group", name=field["title"])
    group.get_by_text(tool["serial"], exact=True).click()
    hand.typed.append((item["item"], tool["serial"]))
    table = tool["facts"]["tables"][0]
    group.get_by_text(table["column"], exact=True).click()
    [pair] = _limits_at(hand, item, field)
    lines = [[Decimal(cell) for cell in row] for row in table["rows"]]
    dial = next((low[0] + high[0]) / 2 for low, high in zip(lines, lines[1:], strict=False)
                if Decimal(pair["min"]) <= (low[1] + high[1]) / 2 <= Decimal(pair["max"]))
    hand.type(item, field, 0, str(dial))


def balance(hand, item, field):
    for name, value in RUNS.items():
        hand.type(item, field, name, value)
    hand.type(item, field, 0, str(middle(field["limits"])))


def text(hand, item, field):
    hand.type(item, field, 0, f"SN {hand.turn:03d}-{field['field']}")


def _limits_at(hand, item, field):
    """The pair of limits at each station, after what they depend on is typed: the middle one of its rows."""
    count = len(field["stations"]) or 1
    if "limits_by" not in field:
        return field.get("limits_at") or [field["limits"]] * count
    by = field["limits_by"]
    row = by["rows"][len(by["rows"]) // 2]
    if by["unit"] is None:
        group = hand.page.get_by_role("group", name=field["title"])
        group.get_by_role("radiogroup", name=by["title"]).get_by_text(row["at"], exact=True).click()
    else:
        hand.type(item, field, "at", row["at"])
    return row.get("limits_at") or [row["limits"]] * count


HANDS = {"measure": measure, "run_out": run_out, "torque": torque, "choice": choose, "scale": choose, "text": text,
         "compression": compression, "drop": drop, "rate": rate, "look_up": look_up, "balance": balance}
