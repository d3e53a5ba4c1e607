"""Which of these Common LUT Format files OpenColorIO reads: lines of paths in, one JSON list of true and false out."""
import json
import sys

import PyOpenColorIO as ocio


def reads(path):
    try:
        ocio.Config.CreateRaw().getProcessor(ocio.FileTransform(path, interpolation=ocio.INTERP_LINEAR))
        return True
    except ocio.Exception:
        return False


print(json.dumps([reads(line.strip()) for line in sys.stdin if line.strip()]))
