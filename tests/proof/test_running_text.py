"""Figures of running text, each rule taken and refused at its ends: what stands between ‹ and › is a figure.

The sentences and what they mean are an editor's, written by hand from the rules that the module states.
"""

from __future__ import annotations

import re

import pytest

from buildlog.proof.running_text import figures

MARKED = """
# a number with a unit of the list, with a space, a hyphen or neither
The mass is ‹4.2 kg› now
‹4.2 kg›
It weighs ‹4.2kg›.
a ‹5-kg› rise and a ‹5 kg› one
‹4.2  kg›, with two blanks, ‹4.2   kg› with three, but 4.2    kg with four
‹½ kg›, ‹1½ kg›, ‹1 1/2 kg› and ‹.5 kg› each
at ‹1.5e3 N› or ‹1,500 N› or ‹1 500 N›
‹8,200 rpm›, ‹8 200 rpm›, ‹8200 rpm›, ‹8.2k rpm› and ‹3 thousand miles›
‹4.2 kg/m³› and ‹3 N·m/rad›
‹100 km/h›; ‹60 mph›
‹5 litres› of it
# the sign and “between” belong to it, hedges and comparators do not
‹-5 °C›, ‹−5 °C›, ‹+5 °C› and (‹-5 °C›)
about ‹5 kg›, over ‹5 kg›, at least ‹5 kg›, <‹5 kg›
‹between 5 and 6 kg› and ‹Between 5 and 6 kg›
between ‹5 kg›, and also ‹6 kg›
it lies 5 and ‹6 kg› away
a-5 kg
“‹-5 °C›” and [‹-5 °C›]
# a range, a size in several directions and a value with its ± count once
‹400–450 hp›, ‹400-450 hp›, ‹400 to 450 hp›, ‹400 – 450 hp›, ‹400 ... 450 hp›, ‹400…450 hp›
‹400 hp to 450 hp›, ‹400 hp–450 hp›
‹450 hp› to ‹400 hp›, as it falls
‹5 kg› to ‹6 mm›
‹300 × 200 mm›, ‹300 x 200 mm›, ‹300x200 mm›, ‹300 mm × 200 mm›, ‹300 × 200 × 100 mm›
‹300 × 200 × 100 × 5 mm› is one more than most
‹64 cc› × 0.061 of it
‹5 ± 0.1 kg›, ‹5±0.1 kg›, ‹5 kg ± 0.1 kg›, ‹5 kg ± 0.1›, ‹5 +/- 0.1 kg›
‹5 kg ± 2 %›
bolts 1 to 4 to ‹25 N·m›
from ‹5 to 6 kg› and to ‹7 kg›
‹-5 to -3 °C› and ‹-5 to +3 °C›
# a price, before and behind
‹£30›, ‹£30/m›, ‹£ 30›, ‹30 £›, ‹£30 per day›, ‹€1,200›, ‹$5–$10›, ‹£5-10›, ‹GBP 30›
‹£30› per thing
A5 paper, ABC 30, ab£ and ‹£30›
# a percentage, a ratio to 1, so many times
‹5 %›, ‹5%›, ‹5 per cent› and ‹5 percentage points›
‹4.56:1›, ‹10.6 to 1›, ‹10.6-to-1›, ‹10.6 to one›
10 to 1, but ‹10:1›
‹1.5 to 1 mm›
‹1.5 to 1.2 mm›
‹2.1 times› as stiff
# feet and inches, pounds and ounces
‹5 ft 6 in› tall, ‹5 ft 6 in.› and ‹2 lb 4 oz›, ‹5' 6"›, ‹5′ 6″›
‹5 ft› ‹6 ft›
‹5 kg› ‹6 g/m›
‹4.5 lb› ‹2 oz›
# what the grammar refuses is meant as a figure
‹1,35 bar› and ‹12 psig›, ‹3 gallons›, ‹16 ft. lbs.›, ‹5 KW›, ‹3 Bar›, ‹16 ft-lbs›, ‹2 tons›
‹13 lb in›, ‹13 lb-in› and ‹18 mph per 1,000 rpm› and ‹18 mph/1000 rpm›
‹25mmx10mm› and ‹5 kg/lap›
‹12v› and ‹13.8v› and a 16v head, ‹55w› each
# the same quantity's smaller unit
‹5 kg 200 g›, ‹2 m 30 cm›, ‹5 mL› ‹3 cc›, ‹30 cm› ‹2 m›, ‹5.5 kg› ‹200 g›, ‹5 kg›  ‹200 g›, ‹5 kg› ‹3 mm›
‹0.3 of a second›, ‹0.3 of an inch› and 1 of a second
‹+3 °C to +5 °C›, ‹+5 °C› to ‹+3 °C›, ‹-3 °C to +5 °C› and ‹+5 °C› to ‹-3 °C›
# nominal sizes are names
a 5 litre can, but ‹5 litres› can spill
a 10 mm socket, a 12 V battery, a 2 litre engine, but ‹10 mm› of slack and ‹2 litres› of oil
10 mm, 13 mm and 17 mm sockets
‹10 mm› and ‹13 mm› of slack
a 10 mm × 1.25 bolt
# how long work took, and what to wait for
5 minutes, 3 hours and 2 days later; ‹5 s›, ‹23.4 s›, ‹5 ms› and ‹1 min 23.4 s›
# counts and the like are none
4 bolts, 41 teeth, 3 times, 12:30, the 1970s, 2024-05-06, 3 May 2024
195/50R15 tyres, 205/55 R16 91V, M10x1.5, 10W-40 and 5W30 oil, 6J x 15 rims, 7J×16
part 06A-115 and 1K-40-22, v1.2.3, tox.ini, ISO 261, A4, page 5, pp. 5 and step 4: 1 bolt
page 5 m, table 3 in the back, class 8 m, clause 5 s, Fig. 7 m, row 3 in it
It is ‹5 m› off
# in is the inch only where it cannot be the preposition
‹5 in› long, ‹5 in› wide, ‹5 in›, ‹5 in›. It is ‹3in› and ‹3-in› and ‹5 in› of it; ‹5 in.› deep
5 in total, 8 in 10, 1.87 in second, 5 in the box, 5 in June
½ in bolts, ‹½ in› more and ‹1½ in› deep, but ½ in the box, ½ in a box, ½ in 3
a 5 in socket
a ‹3 in›-wide gap, but 3 in-line ones and 3 in-built lamps
‹5 in›. Then it went
# one-letter units
2 G-clamps and ‹2 m›-long ones, ‹2 m› apart, ‹5 V›, ‹5 N›, ‹5 A›, 5A-12, and ‹5A›
2 bars of steel, ‹2.5 bars› of boost, ‹2 bar›
‹10 s›, 10s, ‹12s› and ‹0.5s›
# quotation marks
He said “it is 5” and left, ‹5"› wide
He said "it was ‹5 kg› or 5" and left; ‹6"› wide
‹5"› by ‹6"› by ‹7"›, and "‹5 kg›" of it, ‹8"› deep
the 5' wall, ‹5'› long
# numbers in words with a unit, multiples and shares
‹half a second› and ‹half of a second›, ‹three quarters of a mile›, ‹two thirds of an inch›
‹twenty-two miles›, ‹two hundred and fifty miles›, ‹five to six miles›, ‹between five and six miles›
‹a hundred miles›, ‹minus five degrees›, ‹three and a half miles›
‹twice› as fast, ‹double› the torque, ‹three times› as stiff, ‹three times› stiffer, ‹twice› what it was
It was doubled
It is ‹double›. Measure it twice. Double valve springs. Double it
three times a day, four of six, two turns, five minutes
‹an inch› lower and ‹a degree› cooler, but an inch of it, a degree in it
‹half› the mass, ‹half› its weight, but half the garage, half the job
‹a third› more, ‹a third› less; cut by ‹a half›. Cut by ‹half›, too long by half
‹1/3› more, ‹1/3› the mass, 1/3 of it
‹six foot two›, ‹six feet two›, one foot in it, one stone
two seconds, ‹two seconds› quicker, one hundred percent sure
# names and words that stick to it
kg5 kg, _5 kg, #5 kg, x5 kg, sub-‹5 kg›, a/5 kg, a.5 kg
‹3x5 kg›, ‹3 x 5 kg› and ax5 kg
Ø‹5 mm› and ø‹10 mm›
"""


def sentences() -> list[str]:
    return [line for line in MARKED.strip().splitlines() if not line.startswith("#")]


def marked(text: str) -> str:
    for start, end in reversed(list(figures(text))):
        text = f"{text[:start]}‹{text[start:end]}›{text[end:]}"
    return text


@pytest.mark.parametrize("sentence", sentences())
def test_where_the_figures_stand(sentence: str) -> None:
    assert marked(re.sub("[‹›]", "", sentence)) == sentence
