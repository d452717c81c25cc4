"""Refiners' settlements as their receivers or makers published them."""

# Settlement report of a Hong Kong refinery, goldrefiningforum.com thread 25650, read.
HONG_KONG = {
    "mass_before": 16_003.40,  # g
    "mass_after": 16_000.20,
    "fineness": 921.0,
    "fine_content": 14_736.180,  # g; 14 736.1842 in full, cut off after two figures
    "payable": 0.98,
    "net_content": 14_441.45,  # g; 14 441.4605 in full
}
HONG_KONG_SOURCE = "settlement of a Hong Kong refinery, goldrefiningforum.com 25650"

# "The gold refinery settlement process", kaizengold.com, read.
WORKED = {
    "mass": 24_960.0,  # g
    "fineness": 913.0,
    "fine_ounces": 732.7,
    "payable": 0.99,
    "payable_ounces": 725.4,  # 725.34 in full; the page multiplies the rounded 732.7
}
WORKED_SOURCE = "worked settlement, kaizengold.com, gold refinery settlement process"

# South African one-ounce coin of 22 karat: an ounce of fine gold in 33.93 g.
COIN_OUNCES, COIN_FINENESS, COIN_MASS = 1.0, 1000 * 22 / 24, 33.93
COIN_SOURCE = "Krugerrand, published weight 33.93 g, recalled"
