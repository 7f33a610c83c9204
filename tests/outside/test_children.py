"""Children's limits against an independent retyping of what was published.

Pulse and breathing: Fleming et al. 2011, Lancet 377:1011, 1st, 50th and 99th centile, retyped from
public code copies of its tables. Pressure called low: PALS, from memory.
"""

import pytest

# (from months, pulse, breathing)
FLEMING = [
    (0, (107, 143, 181), (25, 43, 66)),
    (3, (104, 140, 175), (24, 41, 64)),
    (6, (98, 134, 168), (23, 39, 61)),
    (9, (93, 128, 161), (22, 37, 58)),
    (12, (88, 123, 156), (21, 35, 53)),
    (18, (82, 116, 149), (19, 31, 46)),
    (24, (76, 110, 142), (18, 28, 38)),
    (36, (70, 104, 136), (17, 25, 33)),
    (48, (65, 98, 131), (17, 23, 29)),
    (72, (59, 91, 123), (16, 21, 27)),
    (96, (52, 84, 115), (14, 19, 25)),
    (144, (47, 78, 108), (12, 18, 23)),
    (180, (43, 73, 104), (11, 16, 22)),
]

# A notice waits until a value is a fifth beyond the centile (common practice, no source).
BEYOND = 0.2


def test_centiles_are_those_published(tool):
    bands = [line.split("\t")[1:] for line in tool("vitalproof_tables") if "centiles" in line]
    retyped = [[months, *pulse, *breathing] for months, pulse, breathing in FLEMING]
    assert [[float(number) for number in band] for band in bands] == retyped


# Ages in months inside each band: near its lower end and near its upper.
def ages_of_bands() -> list:
    cases = []
    ends = [months for months, _, _ in FLEMING[1:]] + [16 * 12]
    for (start, pulse, breathing), end in zip(FLEMING, ends, strict=True):
        for months in (start + 0.01, end - 0.01):
            cases.append(pytest.param(months, pulse, breathing, id=f"{months:g}_months"))
    return cases


@pytest.mark.parametrize(("months", "pulse", "breathing"), ages_of_bands())
def test_notice_waits_for_a_fifth_beyond_the_centiles(tool, months, pulse, breathing):
    asked, expected = [], []
    for sign, check, (first, _, last) in (
        ("pulse", "pulse", pulse),
        ("respiratory_rate", "breathing", breathing),
    ):
        low, high = first * (1 - BEYOND), last * (1 + BEYOND)
        for code, value, fires in (
            (f"clinical.{check}_low", low - 0.01, True),
            (f"clinical.{check}_low", low + 0.01, False),
            (f"clinical.{check}_high", high + 0.01, True),
            (f"clinical.{check}_high", high - 0.01, False),
        ):
            asked.append(f"age={months / 12:.6f} {sign}={value:.4f}")
            expected.append((code, fires))
    answers = tool("vitalproof_examine", *asked)
    fired = [
        (code, code in answer.split()) for answer, (code, _) in zip(answers, expected, strict=True)
    ]
    assert fired == expected


# PALS, from memory: hypotension under 60 to 28 days, 70 to a year, 70 + 2 x age to ten years, 90
# over ten.
@pytest.mark.parametrize(
    ("years", "line"),
    [
        ("0", 60),
        ("0.07", 60),
        ("0.08", 70),
        ("0.99", 70),
        ("1", 72),
        ("2", 74),
        ("5.5", 80),
        ("9", 88),
        ("10", 90),
        ("12", 90),
        ("15.9", 90),
    ],
)
def test_pressure_called_low_follows_pals(tool, years, line):
    under, at = tool(
        "vitalproof_examine", f"age={years} systolic={line - 1}", f"age={years} systolic={line}"
    )
    assert "clinical.systolic_low" in under.split()
    assert "clinical.systolic_low" not in at.split()
