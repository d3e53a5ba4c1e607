"""PQ codes to twenty digits, for test/standards/bt2100.test.ts: python3 makePq.py > pq.json

The formula of ITU-R BT.2100-2, table 4, with its constants as fractions, in mpmath 1.3.0 at 300 bits. Luminance in cd/m².
"""
import json

from mpmath import mp, mpf

mp.prec = 300
m1, m2 = mpf(2610) / 16384, mpf(2523) / 4096 * 128
c1, c2, c3 = mpf(3424) / 4096, mpf(2413) / 4096 * 32, mpf(2392) / 4096 * 32


def code(luminance):
    y = (mpf(luminance) / 10000) ** m1
    return ((c1 + c2 * y) / (1 + c3 * y)) ** m2


luminances = [0] + [x * 10.0**e for e in range(-4, 4) for x in (1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9)] + [203, 10000]
rows = ",\n".join(f'  [{json.dumps(x)}, "{mp.nstr(code(x), 20)}"]' for x in luminances)
print("[\n" + rows + "\n]")
