"""What a mechanic might write -> a value, a value that is asked about, or a refusal.

Each row: what is typed, the reading's unit (or its kind), what comes of it, and why in a word. A
value is written in the reading's unit; `ask` in front of it: it is stored and questioned; a text in
quotes: refused, with these words among others. The ways of writing are common practice in the
trade; sizes are exact by NIST SP 811:2008, Appendix B.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest

from inspect_tui.core.bench.inputs import read_input
from inspect_tui.core.expressions import ambient, calculations
from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.presentation.figures import format_reading
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse
from inspect_tui.errors import BadInput

KINDS = ("timer", "count", "check", "date", "text")

FORMS = """
# shares and ratios
50            | %     | 50                        | bare
half          | %     | 50                        | word
a quarter     | %     | 25                        | word
50:50         | %     | 50                        | equal
50/50         | %     | 50                        | equal
1:1           | %     | 50                        | equal
1:2           | %     | 'could be 33 % or 50 %'   | ambiguous
1/2           | %     | 'could be 33 % or 50 %'   | ambiguous
60/40         | %     | 'could be 60 % or 40 %'   | ambiguous
40:60         | %     | 'could be 40 % or 60 %'   | ambiguous
0.5           | %     | ask 0.5                   | share
0.5 %         | %     | 0.5                       | unit
14 pct        | %     | 14                        | spelling
14 Percent    | %     | 14                        | capitals
1,000 %       | %     | 'could be 1000 or 1'      | thousands
50:1          | plain | 50                        | ratio
40 to 1       | plain | 40                        | ratio
50 : 1        | plain | 50                        | ratio
1:50          | plain | 'could be 50:1 or 0.02'   | reversed
1 to 40       | plain | 'could be 40:1 or 0.025'  | reversed
0:5           | plain | 'is no ratio'             | nonsense
5:0           | plain | 'divides by zero'         | nonsense
0:0           | plain | 'divides by zero'         | nonsense
0:5           | %     | 'is no share'             | nonsense
5:0           | %     | 'is no share'             | nonsense
0/0           | %     | 'is no share'             | nonsense
50:50         | plain | 'a ratio or a mixture'    | ambiguous
60/40         | plain | 'could be a mixture'      | ambiguous
39/21         | plain | 13/7                      | division
1.265         | plain | 1.265                     | density
240           | plain | 240                       | stamp
#240          | plain | 240                       | stamp
No. 240       | plain | 240                       | stamp
two hundred and forty | plain | 240               | words
5 %           | plain | 'a plain number is wanted' | dimension
5 mm          | plain | 'a plain number is wanted, such as 12.' | dimension
50:1          | mm    | 'is a ratio'              | dimension
30 to 32      | mm    | 'two numbers'             | range
30-32         | mm    | 'two numbers'             | range
# thousands
1.800         | rpm   | 'could be 1800 or 1.8'    | thousands
1,800         | rpm   | 'could be 1800 or 1.8'    | thousands
1.800 rpm     | rpm   | 'could be 1800 or 1.8'    | thousands
1 800         | rpm   | 'two numbers'             | thousands
1'800         | rpm   | 'no unit'                 | thousands
1,013 hPa     | hPa   | 'could be 1013'           | thousands
6.895         | kPa   | 'could be 6895 or 6.8950' | thousands
827.371       | kPa   | 827.371                   | converted
31.750        | degC  | 31.75                     | decimal
1800          | rpm   | 1800                      | bare
1.8           | rpm   | 1.8                       | decimal
1.80          | rpm   | 1.8                       | decimal
6.8950        | kPa   | 6.895                     | decimal
1.250         | mm    | 1.25                      | micrometer
1.250 kg      | N     | 12.2583125                | scale
5k            | rpm   | 5000                      | thousands
5K            | rpm   | 5000                      | thousands
5k            | ohm   | 5000                      | electrician
5k            | kohm  | 5                         | electrician
4k7           | ohm   | 4700                      | electrician
2M            | kohm  | 2000                      | electrician
4k7           | mm    | 'no unit'                 | electrician
470R          | ohm   | 470                       | electrician
5k            | km    | 'could be thousands'      | ambiguous
5k            | kPa   | 'could be thousands'      | ambiguous
5k            | degC  | 'no unit'                 | nonsense
5K            | %     | 'is a temperature'        | nonsense
1,000         | count | 'could be 1000 or 1'      | thousands
1.000         | count | 'could be 1000 or 1'      | thousands
12.0          | count | 12                        | decimal
# times
1.30          | timer | 'could be 1 min 30 s'     | clock
1,30          | timer | 'could be 1 min 30 s'     | clock
12.50         | timer | 'could be 12 min 50 s'    | clock
2.30 min      | timer | 'could be 2 min 30 s'     | clock
1.3           | timer | 1.3                       | decimal
1:30          | timer | 90                        | clock
1:30.5        | timer | 90.5                      | clock
1'30"         | timer | 90                        | marks
1m30          | timer | 90                        | short
1m30s         | timer | 90                        | short
1 min 30      | timer | 90                        | mixed
90 sec        | timer | 90                        | unit
half a minute | timer | 30                        | words
one minute    | timer | 60                        | words
1h            | timer | 3600                      | unit
1:60          | timer | 'go up to 59'             | nonsense
-5            | timer | 'less than'               | negative
31.6; 31.7    | timer | 'more than one time'      | repeats
1.30          | min   | 'could be 1 min 30 s'     | clock
1.30 min      | min   | 'could be 1 min 30 s'     | clock
1.25 min      | min   | 1.25                      | decimal
4:30          | min   | 4.5                       | clock
4:30          | h     | 4.5                       | clock
4:30,5        | min   | 541/120                   | clock
2.40 min      | min   | 'could be 2 min 40 s'     | clock
2.00 min      | min   | 2                         | decimal
2 yr 3 mo     | month | 27                        | mixed
2 yr 3 mos    | month | 27                        | mixed
2 yr 3        | month | 27                        | mixed
4h30          | h     | 4.5                       | short
4h30m         | h     | 4.5                       | short
4 h 30 min    | h     | 4.5                       | mixed
4.30          | h     | 'could be 4 h 30 min'     | clock
5 m           | month | 'months or minutes'       | ambiguous
2 yr 3 months | month | 27                        | mixed
2y 3m         | month | 27                        | mixed
3 mos         | month | 3                         | spelling
12 mths       | month | 12                        | spelling
2 Years       | month | 24                        | capitals
-3            | month | 'less than nothing'       | negative
# lengths and fractions
1-1/4         | in    | 1.25                      | fraction
1 1/4         | in    | 1.25                      | fraction
1.1/4 in      | mm    | 31.75                     | dotted
1+1/4 in      | mm    | 31.75                     | plus
1 & 1/4 in    | mm    | 31.75                     | and
1 and 1/4 in  | mm    | 31.75                     | and
1 -1/4        | mm    | 'two numbers'             | ambiguous
1 1/1         | mm    | '1 or more'               | odd
1 5/4         | mm    | '1 or more'               | odd
-1-1/4        | mm    | -1.25                     | sign
-1 1/4        | mm    | -1.25                     | sign
-½            | mm    | -0.5                      | sign
− 1½          | mm    | -1.5                      | sign
-6' 2"        | in    | -74                       | sign
6' 2"         | in    | 74                        | feet
6' 14"        | in    | 'a foot too many'         | nonsense
6' 12"        | in    | 'a foot too many'         | nonsense
6' 11-3/4"    | in    | 83.75                     | feet
5 foot 6      | in    | 66                        | mixed
1 foot 6 inches | in  | 18                        | mixed
1m20          | m     | 'no unit'                 | ambiguous
11/64ths      | in    | 11/64                     | suffix
11/64ths in   | in    | 11/64                     | suffix
11 64ths      | in    | 11/64                     | suffix
11/64ths      | mm    | ask 11/64                 | inches
three eighths | mm    | ask 3/8                   | inches
three eighths | in    | 0.375                     | words
5 thou        | in    | 0.005                     | thou
5 thousandths | in    | 0.005                     | thou
5 thousandths | mm    | 'of a millimetre or of an inch' | ambiguous
5 hundredths  | mm    | 'of a millimetre or of an inch' | ambiguous
10 IN         | mm    | 254                       | capitals
1 Inch        | mm    | 25.4                      | capitals
12 MM         | mm    | 12                        | capitals
12 CM         | mm    | 120                       | capitals
1/2-inch      | mm    | 12.7                      | hyphen
Ø12           | mm    | 12                        | diameter
12㎜          | mm    | 12                        | sign
１２          | mm    | 12                        | full-width
28,5          | mm    | 28.5                      | comma
31,7; 31,8    | mm    | 31.75                     | repeats
31.7, 31.8    | mm    | 'can be read in more'     | list
1,2,3         | mm    | 'semicolon'               | list
5 mm,         | mm    | 5                         | stray
5.            | mm    | 5                         | stray
5 mm 1        | mm    | 'no unit'                 | slip
5 links       | mm    | 'no unit'                 | surveyor
5 rods        | mm    | 'no unit'                 | surveyor
5 points      | mm    | 'no unit'                 | printer
1e-9999       | mm    | 'too large or too small'  | bounds
0.0000000000000000000000000001 | mm | 1e-28 | bounds
0.00000000000000000000000000001 | mm | 'too many digits' | bounds
1e-30         | mm    | 1e-30                     | bounds
1e-31         | mm    | 'too large or too small'  | bounds
1e9999        | mm    | 'too large or too small'  | bounds
about 5       | mm    | 'write 5, or 5 ± 1'       | vague
~5            | mm    | 'write 5, or 5 ± 1'       | vague
>5            | mm    | 'write the value itself'  | bound
at least 5    | mm    | 'write the value itself'  | bound
5-            | mm    | 'not a number'            | slip
±5            | mm    | 'A number is missing'     | slip
5 ±           | mm    | 'A number is missing'     | slip
none          | mm    | 'not a number'            | word
n/a           | mm    | 'not a number'            | word
zero          | mm    | 0                         | word
-5 km         | km    | 'less than nothing'       | negative
-5            | km    | 'less than nothing'       | negative
100 KM        | km    | 100                       | capitals
# angles and turns
5°30'         | deg   | 5.5                       | minutes
5°30          | deg   | 5.5                       | minutes
5° 30' 36"    | deg   | 5.51                      | seconds
-5°30'        | deg   | -5.5                      | sign
5 deg 30 min  | deg   | 5.5                       | minutes
half          | turn  | 0.5                       | word
a quarter     | turn  | 0.25                      | word
three-quarters | turn | 0.75                      | word
half a turn   | turn  | 0.5                       | word
one and a half | turn | 1.5                       | words
one-and-a-half turns | turn | 1.5                 | words
1 and a half  | turn  | 1.5                       | words
1 turn 30 deg | turn  | 13/12                     | mixed
1 turn 1/4    | turn  | 1.25                      | mixed
1 turn and a quarter | turn | 1.25                | mixed
2 turns 45    | turn  | 'no unit'                 | ambiguous
1 turn 1      | turn  | 'no unit'                 | ambiguous
1.5 turns 30 deg | turn | 'no unit'                | mixed
1 turn 400 deg | turn | 'no unit'                  | nonsense
30 deg 1 turn | turn  | 'no unit'                  | nonsense
1 turn 1 turn | turn  | 'no unit'                  | nonsense
1 turn 3 mm   | turn  | 'no unit'                  | dimension
1 turn -30 deg | turn | 13/12                      | hyphen
2.5 out       | turn  | 2.5                       | word
2.5 turns out | turn  | 2.5                       | word
1-1/2 turns out from seat | turn | 1.5            | word
2.5 in        | turn  | 'is a length'             | ambiguous
90 deg        | turn  | 0.25                      | degrees
quarter turn  | deg   | 90                        | words
# temperatures
minus 20      | degC  | -20                       | word
minus 20 C    | degC  | -20                       | word
20 below      | degC  | -20                       | word
20 below zero | degC  | -20                       | word
-20 °         | degC  | -20                       | degree
-20°          | degF  | -20                       | degree
-20 degrees   | degC  | -20                       | degree
−20 ℃         | degC  | -20                       | sign
14 ℉          | degC  | -10                       | sign
-20 Celsius   | degC  | -20                       | capitals
-20 CELSIUS   | degC  | -20                       | capitals
20 C°         | degC  | 20                        | swapped
20 degrees Celsius | degC | 20                    | words
50 Fahrenheit | degC  | 10                        | capitals
-300          | degC  | 'below absolute zero'     | nonsense
20 ± 5 %      | degC  | 'says nothing'            | share
9 °           | delta_degC | 9                    | degree
# pressures, forces, torques
830 kpa       | kPa   | 830                       | capitals
830 KPA       | kPa   | 830                       | capitals
8 Bar         | kPa   | 800                       | capitals
8.3 kg        | kPa   | ask 813.95195             | gauge
8 kilos       | kPa   | ask 784.532               | gauge
8 kg/cm²      | kPa   | 784.532                   | unit
95 lb         | psi   | ask 95                    | gauge
95 pounds     | psi   | ask 95                    | gauge
29.92 inches  | hPa   | 'is a length'             | ambiguous
2 kilos       | N     | 19.6133                   | light
2 kilos       | kg    | 2                         | light
25 ft/lb      | lbf.ft | ask 25                   | slip
12 N/m        | N.m   | ask 12                    | slip
25 lb         | N.m   | 'ways; write ft-lb'       | ambiguous
25 pounds     | N.m   | 'ways; write ft-lb'       | ambiguous
3.5 kg        | N.m   | 'ways; write kgf.m'       | ambiguous
25 FT-LB      | lbf.ft | 25                       | capitals
12 newton metres | N.m | 12                       | words
# electrics, speeds, masses, volumes
12.6 v        | V     | 12.6                      | capitals
12 Volts      | V     | 12                        | capitals
5 MV          | V     | 'M for mega'              | ambiguous
2 amps        | A     | 2                         | spelling
5 KOhm        | ohm   | 5000                      | capitals
5 Ω           | ohm   | 5                         | sign
-3            | ohm   | 'less than nothing'       | negative
6000 revs     | rpm   | 6000                      | light
6000 min⁻¹    | rpm   | 6000                      | sign
5 Hz          | rpm   | 'is a frequency'          | dimension
60 kmph       | km/h  | 60                        | spelling
60 KM/H       | km/h  | 60                        | capitals
60 km         | km/h  | 'is a length'             | dimension
2 lb 8 oz     | lb    | 2.5                       | mixed
1 ton         | kg    | 'one of three'            | ambiguous
500 gr        | g     | 'no unit'                 | ambiguous
5 gal         | L     | 'United States'           | country
5 Litres      | L     | 5                         | capitals
# counts and answers
3 teeth       | count | 3                         | noun
3 missing lugs | count | 3                        | label
3x            | count | 3                         | noun
twelve        | count | 12                        | word
a dozen       | count | 12                        | word
none          | count | 0                         | word
3 mm          | count | 'not a count'             | unit
1/2           | count | 'not a count'             | fraction
12:1          | count | 'not a count'             | ratio
-1            | count | 'not a count'             | negative
3; 4          | count | 'not a count'             | repeats
yes           | check | True                      | word
1             | check | True                      | digit
0             | check | False                     | digit
ok            | check | True                      | wanted
nok           | check | False                     | unwanted
not done      | check | False                     | word
2             | check | 'yes or no'               | digit
2026-11-02    | date  | 2026-11-02                | iso
2026/11/2     | date  | 2026-11-02                | year
2 Nov 2026    | date  | 2026-11-02                | month
November 2nd, 2026 | date | 2026-11-02            | month
2.11.2026     | date  | 'not a date'              | ambiguous
11/02/2026    | date  | 'not a date'              | ambiguous
31 Feb 2026   | date  | 'not in the calendar'     | nonsense
unknown       | mm    | None                      | unknown
?             | count | None                      | unknown
Unknown       | check | None                      | unknown
?             | text  | None                      | unknown
unknown       | timer | None                      | unknown
?             | date  | None                      | unknown
"""


def rows():
    for line in FORMS.strip().splitlines():
        if not line.startswith("#"):
            typed, unit, wanted, why = (cell.strip() for cell in line.split(" | "))
            yield pytest.param(typed, unit, wanted, id=f"{typed} [{unit}] {why}")


def read(typed, unit):
    kind = unit if unit in KINDS else "number"
    own = "" if kind != "number" or unit == "plain" else unit
    reading = Reading(id="r", label="Missing lugs", kind=kind, unit=own)
    found = parse.read(typed, reading)
    return found.value, parse.probable_slip(found, reading, None, None)


@pytest.mark.parametrize(("typed", "unit", "wanted"), rows())
def test_typed_form(typed, unit, wanted):
    if wanted.startswith("'"):
        with pytest.raises(BadInput) as caught:
            read(typed, unit)
        assert wanted.strip("'") in str(caught.value)
        assert len(str(caught.value)) < 200
        return
    value, question = read(typed, unit)
    assert bool(question) == wanted.startswith("ask ")
    assert "{" not in (question or "")
    number = wanted.removeprefix("ask ")
    if number in ("True", "False", "None"):
        assert str(value) == number
    elif unit == "date":
        assert value == number
    else:
        assert value == Fraction(number)


def test_there_are_enough_forms_with_a_reason_of_one_word():
    reasons = [line.split(" | ")[3].strip() for line in FORMS.splitlines() if " | " in line]
    assert len(reasons) >= 150
    assert all(reason and " " not in reason for reason in reasons)


@pytest.mark.parametrize(
    ("typed", "unit"), [row.values[:2] for row in rows() if row.values[2].startswith("'could be")]
)
def test_what_a_refusal_says_to_write_can_be_written(typed, unit):
    """The hint's own forms are read, each as the value that the refusal names."""
    with pytest.raises(BadInput) as caught:
        read(typed, unit)
    hint = caught.value.hint.rstrip(".")
    for said in re.split(r",? or ", hint.removeprefix("write ")):
        text = said.split(" such as ")[-1].removesuffix(" without a mark").strip(" ,")
        if text[0].isdigit():
            assert read(text, unit)[0] is not None


NUMBERS = [
    row.values
    for row in rows()
    if not row.values[2].startswith("'") and row.values[1] not in KINDS and row.values[2] != "None"
]


@pytest.mark.parametrize(("typed", "unit", "wanted"), NUMBERS)
def test_what_is_shown_of_it_reads_as_the_same(typed, unit, wanted):
    own = "" if unit == "plain" else unit
    value, _ = read(typed, unit)
    shown = format_reading(typed, value, own).split(" (")[0]
    again, _ = read(shown.removeprefix("about "), unit)
    rounded = Fraction(1, 16) if shown.startswith("about ") else abs(value) / 199
    assert abs(again - value) <= (rounded if "about" in shown or ";" in typed else 0), shown


# --- the same reader for calculations, the bench and the air ----------------------------------


@pytest.mark.parametrize(
    ("name", "key", "typed", "wanted"),
    [
        ("oil_for_fuel", "ratio", "40 to 1", "40"),
        ("oil_for_fuel", "ratio", "1:50", "'could be 50:1 or 0.02'"),
        ("coolant_freeze_point", "glycol_volume", "50:50", "0.5"),
        ("coolant_freeze_point", "glycol_volume", "half", "0.5"),
        ("coolant_freeze_point", "glycol_volume", "60/40", "'could be 60 % or 40 %'"),
        ("coolant_freeze_point", "glycol_volume", "1/2", "'could be 33 % or 50 %'"),
        ("road_speed", "engine_speed", "6.500 rpm", "'could be 6500 or 6.5'"),
        ("road_speed", "track_pitch", "2.5 IN", "0.0635"),
        ("span_tension", "force", "7 Kg", "68.64655"),
        ("timing_angle", "tilt", "5°", "0.0872664625997164788"),
        ("compression_at_sea_level", "reading", "8.3 kg", "'write the unit in full'"),
        ("compression_at_sea_level", "reading", "120 ± 2 psi", "'the value alone'"),
    ],
)
def test_an_input_of_a_calculation(name, key, typed, wanted):
    if wanted.startswith("'"):
        with pytest.raises(BadInput, match=f"^{key}: .*") as caught:
            calculations.arguments_from_text(name, [(key, typed)])
        assert wanted.strip("'") in str(caught.value)
        return
    found = calculations.arguments_from_text(name, [(key, typed)])[key]
    assert float(found.si) == pytest.approx(float(wanted), rel=1e-15)


LENGTHS = [row.values for row in rows() if row.values[1] in ("mm", "in")]


@pytest.mark.parametrize(("typed", "unit", "wanted"), LENGTHS)
def test_the_bench_reads_a_length_as_a_reading_does(typed, unit, wanted):
    span = next(
        one for one in calculations.calculation("span_tension").inputs if one.name == "span"
    )
    inch_or_mm = replace(span, example=f"1 {unit}")
    if wanted.startswith("'") or wanted == "None":
        with pytest.raises(BadInput):
            read_input("span_tension", inch_or_mm, typed, bare=True)
        return
    argument = read_input("span_tension", inch_or_mm, typed, bare=True).argument
    number = units.number_in(argument, units.unit(unit))
    assert number == Fraction(wanted.removeprefix("ask "))


@pytest.mark.parametrize(
    ("name", "typed", "number"),
    [
        ("temperature", "minus 20", -20),
        ("temperature", "-20 °", -20),
        ("altitude", "6000 FT", 1828.8),
        ("qnh", "1013", 1013),
        ("relative_humidity", "half", 50),
    ],
)
def test_the_air_as_typed(name, typed, number):
    found = units.number_in(ambient.typed(name, typed), units.unit(ambient.UNITS[name]))
    assert float(found) == pytest.approx(number)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("altitude", "1.800"), ("altitude", "1,800 m"), ("qnh", "1,013"), ("temperature", "20 ± 1"),
        ("temperature", "20; 21"), ("qnh", "1 kg"), ("relative_humidity", "60/40"),
    ],
)  # fmt: skip
def test_the_air_refused(name, typed):
    with pytest.raises(BadInput):
        ambient.typed(name, typed)
