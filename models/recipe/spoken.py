"""Numbers in the ways people say them: 196 is 'one ninety six', 'a hundred and ninety six', 'one nine six'."""

from __future__ import annotations

from random import Random

ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
NUMBER_WORDS = frozenset([*ONES, *TENS, "oh", "hundred", "thousand", "million", "minus", "point"])
_LETTER_LEADS = frozenset(
    ["phase", "rack", "circuit", "panel", "case", "type", "model", "serial", "number", "to", "in"]
)
_ARTICLE_FOLLOWS = frozenset(["hundred", "thousand", "million", "half", "quarter", "third", "couple", "little", "few"])


def digit(value: int, rng: Random) -> str:
    """One digit, 0..9; zero is as often 'oh' as 'zero'."""
    if value == 0:
        return "oh" if rng.random() < 0.5 else "zero"
    return ONES[value]


def digit_string(digits: str, rng: Random) -> str:
    """Digits said one after the other."""
    return " ".join(digit(int(d), rng) for d in digits)


def below_hundred(value: int) -> str:
    """0..99 as one number word or two."""
    if value < 20:
        return ONES[value]
    tens, ones = divmod(value, 10)
    return TENS[tens - 2] + (f" {ONES[ones]}" if ones else "")


def below_thousand(value: int, rng: Random) -> str:
    """0..999 in one of the usual ways."""
    if value < 100:
        return below_hundred(value)
    hundreds, rest = divmod(value, 100)
    head = "a" if hundreds == 1 and rng.random() < 0.3 else ONES[hundreds]
    if rest == 0:
        return f"{head} hundred"
    way = rng.random()
    if way < 0.50:
        return ONES[hundreds] + (f" oh {ONES[rest]}" if rest < 10 else f" {below_hundred(rest)}")
    if way < 0.92:
        return f"{head} hundred {'and ' if rng.random() < 0.45 else ''}{below_hundred(rest)}"
    return digit_string(str(value), rng)


def integer(value: int, rng: Random) -> str:
    """A whole number, 0..999,999; a negative one with 'minus' or 'negative' before it."""
    if value < 0:
        return f"{'minus' if rng.random() < 0.7 else 'negative'} {integer(-value, rng)}"
    if value < 1000:
        return below_thousand(value, rng)
    thousands, rest = divmod(value, 1000)
    way = rng.random()
    if value < 10000 and value % 100 == 0 and value % 1000 and way < 0.55:
        return f"{below_hundred(value // 100)} hundred"
    if value < 10000 and rest and way < 0.4:
        low = value % 100
        tail = f"oh {ONES[low]}" if low < 10 else below_hundred(low)
        return f"{below_hundred(value // 100)} hundred" if low == 0 else f"{below_hundred(value // 100)} {tail}"
    head = f"{below_thousand(thousands, rng)} thousand"
    if rest == 0:
        return head
    return f"{head} {'and ' if rest < 100 and rng.random() < 0.5 else ''}{below_thousand(rest, rng)}"


def decimal(text: str, rng: Random) -> str:
    """A number written with a decimal point, such as '24.30', every written place said."""
    sign, text = ("minus ", text[1:]) if text.startswith("-") else ("", text)
    whole, _, places = text.partition(".")
    if not places:
        return sign + integer(int(whole), rng)
    if int(whole):
        head = integer(int(whole), rng)
    else:
        head = rng.choices(["", "zero", "oh"], [0.45, 0.4, 0.15])[0]
    paired = len(places) == 2 and places[0] != "0" and rng.random() < 0.3
    tail = below_hundred(int(places)) if paired else digit_string(places, rng)
    return f"{sign}{head} point {tail}".replace("  ", " ").strip()


def with_fraction(whole: int, rng: Random) -> str:
    """A whole number and a common fraction: 'three and a half', 'a quarter'."""
    part = rng.choices(["a half", "a quarter", "three quarters", "an eighth", "a third"], [6, 2, 2, 1, 1])[0]
    return f"{integer(whole, rng)} and {part}" if whole else part


def is_letter(words: list[str], place: int) -> bool:
    """Is the word at ``place`` a letter said by its name (and not the article 'a' or the pronoun 'i')?"""
    word = words[place]
    if len(word) != 1:
        return False
    if word != "a":
        return True
    after = words[place + 1] if place + 1 < len(words) else ""
    before = words[place - 1] if place else ""
    if not after:
        return True
    if after in _ARTICLE_FOLLOWS:
        return False
    near = {before, after} - {"a", "i", ""}
    return any(len(w) == 1 for w in near) or before in _LETTER_LEADS or before in NUMBER_WORDS or after == "to"
