"""The sentences of `problems` about measured values: what the shop says when a reading cannot stand as it is."""

MEASURING = {
    "table_outside":
        "{value} lies outside the table, which runs from {first} to {last}. Nothing is guessed beyond its "
        "ends: measure with an instrument whose table reaches there.",
    "table_rows": "The table cannot be used: {why}. Correct it, then try again.",
    "limit_input_missing": "The limits depend on \"{what}\". Give it first.",
    "tolerance_missing":
        "\"{title}\" is judged with the tolerance of the tool. Type it beside the serial number of the tool.",
    "tool_not_good_enough":
        "\"{title}\": twice the tolerance of the tool is wider than the limits, so it cannot show that the "
        "value is inside. Take a better tool.",
    "inside_guard_band":
        "\"{title}\" is nearer to its limit than the tool can tell, and this card asks for more. Take a better "
        "tool, or record a fail.",
    "drag_missing":
        "\"{title}\" needs the friction drag torque. Read it while the nut runs down, before it touches, then "
        "type it.",
    "drag_place_missing":
        "\"{title}\": say whether the drag was read at the fastener or through the extension. It counts differently.",
    "drag_large":
        "A drag of {value} {unit} is more than half of the torque itself. Say that you read it so, or type it again.",
    "hours_many":
        "{hours} h between the two readings of the hour-meter are very many. Say that you read them so, or type them "
        "again.",
    "wrench_below_range":
        "\"{title}\" is below 20 % of the wrench's full scale, where a wrench is not accurate. Take a smaller "
        "wrench.",
    "wrench_above_range": "\"{title}\" is above the wrench's full scale. Take a larger wrench.",
    "back_missing":
        "\"{title}\" needs the dial reading back at the first place. Turn on to it, then type what the dial "
        "shows.",
    "dial_moved":
        "\"{title}\": the dial did not come back to where it began, so it or its stand has moved. Fasten it and"
        " take the turn again.",
    "drop_suspect":
        "\"{title}\": no fall at all means that the other magneto was not switched off. Find out why before "
        "anybody touches the propeller or rotor, then take it again.",
    "base_missing": "\"{title}\" needs the rpm on both magnetos. Type it.",
    "hours_missing": "\"{title}\" needs the hour-meter last time and now. Type both.",
    "hours_backwards": "The hour-meter now must show more than last time. Type both again.",
    "table_row_missing":
        "\"{title}\" is a bare dial reading. Choose the instrument by its serial number, so that its own table "
        "turns the reading into a tension.",
    "spread_outside":
        "\"{title}\": the readings differ by more than is allowed, so the item cannot pass. Record a fail.",
    "step_outside":
        "\"{title}\": two neighbouring readings differ by more than is allowed, so the item cannot pass. Record"
        " a fail.",
    "number_negative": "{value} is below zero, which cannot be measured here. Type it without the minus.",
    "value_absurd":
        "{value} {unit} is more than ten times the limit of {limit} {unit}. Say that you read it so, or type "
        "it again.",
    "master_orifice_missing":
        "\"{title}\" is judged by the reading through the master orifice. Take it with the tester first, then "
        "type it.",
    "pressure_above_supply":
        "\"{title}\": no cylinder keeps more than the supply of {supply} {unit}. Read both gauges again.",
    "angles_unfit":
        "These angles cannot show the shape of a shaft. Take at least three different ones, spread round the "
        "turn.",
    "balance_missing": "\"{title}\" needs the first run, the trial weight and the second run. Type all six.",
    "balance_no_effect":
        "The trial weight changed nothing, so nothing can be worked out. Take a heavier one, or another "
        "place.",
    "clock_wrong": "\"{value}\" is no clock angle. Type hours from 0 to 12, for example 3.5 for half past three.",
    "again_wrong": "\"{value}\" is no count. Type a whole number, for example 2.",
    "no_published_value": "There is no published value for {what}. Take it from the manufacturer's instructions.",
    "prevailing_by_hand":
        "There is no published torque for {what}: below 7/16 the nut may be used again only while fingers "
        "cannot turn it.",
}
