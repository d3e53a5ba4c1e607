"""Colours through an OpenColorIO config and through a CDL file. Reads JSON {config, jobs: [{space, to, colours}]} or {cdl, id, colours}; writes the
colours that come out."""
import json
import sys

import PyOpenColorIO as ocio

job = json.load(sys.stdin)


def through(processor, colours):
    cpu = processor.getDefaultCPUProcessor()
    return [list(cpu.applyRGB(colour)) for colour in colours]


if 'cdl' in job:
    config = ocio.Config.CreateRaw()
    transform = ocio.FileTransform(src=job['cdl'], cccId=job['id'])
    transform.setCDLStyle(ocio.CDL_ASC)
    out = [through(config.getProcessor(transform), job['colours'])]
else:
    config = ocio.Config.CreateFromFile(job['config'])
    config.validate()
    out = {
        'spaces': list(config.getColorSpaceNames()),
        'out': [through(config.getProcessor(one['space'], one['to']), one['colours']) for one in job['jobs']],
    }
json.dump(out, sys.stdout)
