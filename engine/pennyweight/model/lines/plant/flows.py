"""Daily flows of rock, concentrate and gold, from ore to bullion."""

from ...line import Section

flows = Section("Plant", "Flows of a working day")


@flows.line("Dry rock through the mill", "ton/day")
def rock_per_day(feed_rate, running_hours_per_day):
    """In the running hours of a working day."""
    return feed_rate * running_hours_per_day


@flows.line("Gold in mill feed, per day", "oz/day")
def feed_gold_per_day(rock_per_day, feed_gold):
    """At the head grade."""
    return rock_per_day * feed_gold


@flows.line("Concentrates, per day", "mass/day")
def concentrate_per_day(rock_per_day, first_concentrate, second_concentrate):
    """First and second concentrate."""
    return rock_per_day * (first_concentrate + second_concentrate)


@flows.line("Gold in concentrates, per day", "oz/day")
def caught_gold_per_day(rock_per_day, caught_gold):
    """Goes to the furnace."""
    return rock_per_day * caught_gold


@flows.line("Gold in middlings, per day", "oz/day")
def middlings_gold_per_day(rock_per_day, middlings_gold):
    """Kept, sold or reground."""
    return rock_per_day * middlings_gold


@flows.line("Gold in tailings, per day", "oz/day")
def tailings_gold_per_day(rock_per_day, tailings_gold):
    """Lost to the pond."""
    return rock_per_day * tailings_gold


@flows.line("Gold in bullion, per day", "oz/day")
def bullion_gold_per_day(rock_per_day, bullion_gold):
    """Fine gold; the slag keeps the rest."""
    return rock_per_day * bullion_gold


@flows.line("Gold in slag, per day", "oz/day")
def slag_gold_per_day(rock_per_day, slag_gold):
    """Crush and table the slag again."""
    return rock_per_day * slag_gold
