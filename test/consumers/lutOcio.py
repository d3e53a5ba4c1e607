"""Puts LUT files on 16-bit RGB frames with OpenColorIO. Reads lines of JSON {lut, frame, interpolation, width,
height, out}; writes each frame to its `out`. With depth "float" the frames are float32."""
import json
import sys

import numpy
import PyOpenColorIO as ocio

config = ocio.Config.CreateRaw()
kinds = {'trilinear': ocio.INTERP_LINEAR, 'tetrahedral': ocio.INTERP_TETRAHEDRAL}
for line in sys.stdin:
    job = json.loads(line)
    is_float = job.get('depth') == 'float'
    depth = ocio.BIT_DEPTH_F32 if is_float else ocio.BIT_DEPTH_UINT16
    transform = ocio.FileTransform(src=job['lut'], interpolation=kinds[job.get('interpolation', 'tetrahedral')])
    processor = config.getProcessor(transform)
    cpu = processor.getOptimizedCPUProcessor(depth, depth, ocio.OPTIMIZATION_NONE)
    pixels = numpy.fromfile(job['frame'], dtype=numpy.float32 if is_float else numpy.uint16)
    step = 4 if is_float else 2
    width, height = job['width'], job['height']
    cpu.apply(ocio.PackedImageDesc(pixels, width, height, 3, depth, step, 3 * step, 3 * step * width))
    pixels.tofile(job['out'])
