"""Values of elementary functions to the nearest double, for test/standards/elementary.test.ts: python3 make.py > mpmath.json

mpmath 1.3.0 (F. Johansson and others) at 300 bits. A row is the arguments and the value, each as the 16 hexadecimal digits of
its IEEE 754 form. Arguments are random from a seed, over the ranges that the doc comments of the functions state, with the
ends, the neighbours of whole numbers and of the places where the kernels change over among them.
"""
import json
import math
import random
import struct

from mpmath import mp, mpf

mp.prec = 300
random.seed(11)


def bits(x):
    return struct.pack(">d", x).hex()


def near(values):
    return [y for x in values for y in (math.nextafter(x, -math.inf), x, math.nextafter(x, math.inf))]


def sign():
    return random.choice((-1.0, 1.0))


def decades(low, high):
    return 10.0 ** random.uniform(low, high)


small = [math.ldexp(1.0, -1074), math.ldexp(1.0, -1022), 1e-300, 1e-20]
logs = near([1.0, math.sqrt(0.5), math.sqrt(2), 2.0, 10.0, 1000.0]) + small + [1.7976931348623157e308]
angles = near([k * math.pi / 4 for k in (-9, -3, -1, 1, 2, 3, 4, 5, 6, 1001)]) + [0.1, 1e-20, 99999.5]
arguments = {
    "exp": [[x] for x in near([-1.0, 0.5, 1.0, math.log(2) / 2, -math.log(2) / 2]) + [-745.1, -708.5, 709.78, 1e-20]]
    + [[sign() * decades(-18, 0)] for _ in range(60)]
    + [[random.uniform(-745, 709.7)] for _ in range(140)],
    "exp2": [[x] for x in near([-1.0, 0.5, 1.0, -0.5]) + [-1074.0, -1022.5, 1023.9, 1e-20]]
    + [[sign() * decades(-18, 0)] for _ in range(60)]
    + [[random.uniform(-1074, 1023.9)] for _ in range(140)],
    "ln": [[x] for x in logs]
    + [[random.uniform(0.5, 2)] for _ in range(100)]
    + [[decades(-307, 308)] for _ in range(80)],
    "cbrt": [[x] for x in near([1.0, 8.0, 27.0, 1e30, 1e-30, -0.008856]) + small]
    + [[random.uniform(0, 8)] for _ in range(80)]
    + [[sign() * decades(-307, 308)] for _ in range(80)],
    "sin": [[x] for x in angles]
    + [[random.uniform(-7, 7)] for _ in range(100)]
    + [[sign() * decades(-8, 5)] for _ in range(60)],
    "atan2": [[y, x] for y in (-1.0, 0.4375, 0.6875, 1.1875, 2.4375, 1e-10) for x in (-1.0, 1.0, 1e5)]
    + [[sign() * decades(-3, 3), sign() * decades(-3, 3)] for _ in range(180)],
    "acos": [[x] for x in near([0.5, -0.5]) + [1.0, -1.0, 0.0, 1e-10]] + [[random.uniform(-1, 1)] for _ in range(100)],
    "hypot": [[3.0, 4.0, 0.0], [1e-200, 1e-200, 1e-201], [1e200, 1e199, 1e200]]
    + [[sign() * decades(-3, 3), sign() * decades(-3, 3), decades(-6, 3)] for _ in range(120)],
    "pow": [[b, e] for b in (0.5, 2.0, 10.0, 0.1, 25.0) for e in (-2.0, 0.5, 3.0, 7.0, 2.4, -0.55)]
    + [[b, e] for b in near([1.0, math.sqrt(1.5), math.sqrt(3)]) for e in (2.4, -1e5, 1e3)]
    + [[-2.0, 3.0], [-2.0, -4.0], [5e-324, 0.45], [1e-310, -0.9], [1.7e308, 0.99]]
    + [[decades(-6, 4), random.uniform(-6, 6)] for _ in range(180)]
    + [[decades(-300, 300), random.uniform(-1, 1)] for _ in range(80)],
}
arguments["log2"] = arguments["ln"]
arguments["log10"] = arguments["ln"]
arguments["cos"] = arguments["sin"]
arguments["asin"] = arguments["acos"]
functions = {
    "exp": mp.exp,
    "exp2": lambda x: mp.power(2, x),
    "ln": mp.log,
    "log2": lambda x: mp.log(x) / mp.log(2),
    "log10": lambda x: mp.log(x) / mp.log(10),
    "cbrt": lambda x: mp.sign(x) * mp.cbrt(abs(x)),
    "sin": mp.sin,
    "cos": mp.cos,
    "atan2": mp.atan2,
    "acos": mp.acos,
    "asin": mp.asin,
    "hypot": lambda x, y, z: mp.sqrt(x * x + y * y + z * z),
    "pow": mp.power,
}
table = {
    name: [[bits(x) for x in row] + [bits(float(function(*map(mpf, row))))] for row in arguments[name]]
    for name, function in functions.items()
}
lines = [f' "{name}": [\n' + ",\n".join("  " + json.dumps(row) for row in rows) + "\n ]" for name, rows in table.items()]
print("{\n" + ",\n".join(lines) + "\n}")
