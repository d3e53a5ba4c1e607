"""Reads Common LUT Format files with OpenColorIO and writes them again with its own writer. Lines of JSON {lut, out}."""
import json
import sys

import PyOpenColorIO as ocio

config = ocio.Config.CreateRaw()
for line in sys.stdin:
    job = json.loads(line)
    group = config.getProcessor(ocio.FileTransform(src=job['lut'])).createGroupTransform()
    with open(job['out'], 'w') as file:
        file.write(group.write('Academy/ASC Common LUT Format', config=config))
