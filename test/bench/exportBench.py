"""CPU seconds that OpenColorIO takes, in process: `bake FILE.clf OUT.cube SIZE` or `read FILE.cube`, best of five.

`format` prints what its baker calls the format of .cube files.
"""
import sys
import time

import PyOpenColorIO as ocio


def best(work):
    times = []
    for _ in range(5):
        ocio.ClearAllCaches()
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def cube_format():
    # Formats have names of their own; what is wanted is whichever writes this ending.
    return next(name for name, ending in ocio.Baker.getFormats() if ending == 'cube')


def bake(source, out, size):
    # The baker works between two colour spaces, so the file is the way from one to the other.
    config = ocio.Config.CreateRaw()
    config.addColorSpace(ocio.ColorSpace(name='in'))
    space = ocio.ColorSpace(name='out')
    space.setTransform(ocio.FileTransform(source), ocio.COLORSPACE_DIR_FROM_REFERENCE)
    config.addColorSpace(space)
    config.setRole('reference', 'in')
    baker = ocio.Baker(config=config, format=cube_format(), inputSpace='in', targetSpace='out', cubeSize=size)
    with open(out, 'w') as file:
        file.write(baker.bake())


def read(source):
    config = ocio.Config.CreateRaw()
    config.getProcessor(ocio.FileTransform(source)).getDefaultCPUProcessor()


if sys.argv[1] == 'format':
    print(cube_format())
elif sys.argv[1] == 'bake':
    print(best(lambda: bake(sys.argv[2], sys.argv[3], int(sys.argv[4]))))
else:
    print(best(lambda: read(sys.argv[2])))
