"""CPU seconds that OpenColorIO takes, in process: `bake FILE.clf OUT.cube SIZE` or `read FILE.cube`, best of five."""
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


def bake(source, out, size):
    # The baker works between two colour spaces, so the file is the way from one to the other.
    config = ocio.Config.CreateRaw()
    config.addColorSpace(ocio.ColorSpace(name='in'))
    space = ocio.ColorSpace(name='out')
    space.setTransform(ocio.FileTransform(source), ocio.COLORSPACE_DIR_FROM_REFERENCE)
    config.addColorSpace(space)
    config.setRole('reference', 'in')
    # Formats have names of their own; what is wanted is whichever writes this ending.
    form = next(name for name, ending in ocio.Baker.getFormats() if ending == 'cube')
    baker = ocio.Baker(config=config, format=form, inputSpace='in', targetSpace='out', cubeSize=size)
    with open(out, 'w') as file:
        file.write(baker.bake())


def read(source):
    config = ocio.Config.CreateRaw()
    config.getProcessor(ocio.FileTransform(source)).getDefaultCPUProcessor()


if sys.argv[1] == 'bake':
    print(best(lambda: bake(sys.argv[2], sys.argv[3], int(sys.argv[4]))))
else:
    print(best(lambda: read(sys.argv[2])))
