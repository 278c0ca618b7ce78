"""Whether two JSON files say the same, numbers to ten digits: `same.py STORED MADE`. Fails at the first difference."""

import json
import math
import sys


def differ(a, b, at):
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        return next((d for k in a if (d := differ(a[k], b[k], f"{at}.{k}"))), None)
    if isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        return next((d for k in range(len(a)) if (d := differ(a[k], b[k], f"{at}[{k}]"))), None)
    number = lambda x: isinstance(x, (int, float)) and not isinstance(x, bool)
    if number(a) and number(b):
        return None if a == b or isinstance(a + b, float) and math.isclose(a, b, rel_tol=1e-10) else f"{at}: {a}, now {b}"
    return None if a == b else f"{at}: {a}, now {b}"


stored, made = (json.load(open(name)) for name in sys.argv[1:3])
found = differ(stored, made, "")
if found:
    sys.exit(f"{sys.argv[1]}{found}")
print(f"{sys.argv[1]}: the same again")
