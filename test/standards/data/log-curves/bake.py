"""Writes ocio.json: camera log curves by their numbers, and what OpenColorIO's processor makes of light and code.

Run in this folder with a Python that has PyOpenColorIO: python3 bake.py. The curves are invented.
"""

import json
import pathlib

import numpy as np
import PyOpenColorIO as ocio

random = np.random.default_rng(1)


def apply(transform, values):
    processor = ocio.Config.CreateRaw().getProcessor(transform).getOptimizedCPUProcessor(
        ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_NONE
    )
    pixels = np.repeat(values.astype(np.float32), 3)
    processor.applyRGB(pixels)
    return [float(v) for v in pixels[::3]]


def curve(kind):
    p = {
        "base": float(random.choice([2.0, 10.0, 7.5])),
        "logSideSlope": float(random.uniform(0.05, 0.4)),
        "logSideOffset": float(random.uniform(0.2, 0.6)),
        "linSideSlope": float(random.uniform(0.5, 12)),
        "linSideOffset": float(random.uniform(0, 0.1)),
    }
    if kind == "affine":
        transform = ocio.LogAffineTransform(
            logSideSlope=[p["logSideSlope"]] * 3,
            logSideOffset=[p["logSideOffset"]] * 3,
            linSideSlope=[p["linSideSlope"]] * 3,
            linSideOffset=[p["linSideOffset"]] * 3,
        )
    else:
        p["linSideBreak"] = float(random.uniform(0.001, 0.02))
        transform = ocio.LogCameraTransform(
            linSideBreak=[p["linSideBreak"]] * 3,
            logSideSlope=[p["logSideSlope"]] * 3,
            logSideOffset=[p["logSideOffset"]] * 3,
            linSideSlope=[p["linSideSlope"]] * 3,
            linSideOffset=[p["linSideOffset"]] * 3,
        )
        if kind == "slope":
            p["linearSlope"] = float(random.uniform(1, 10))
            transform.setLinearSlopeValue([p["linearSlope"]] * 3)
    transform.setBase(p["base"])
    light = np.float32(np.concatenate([[-0.5, -0.02, 0], 10.0 ** np.linspace(-4, 2, 25)]))
    code = np.float32(np.linspace(0.0, 1.0, 21))
    forward = apply(transform, light)
    transform.setDirection(ocio.TRANSFORM_DIR_INVERSE)
    return {
        "kind": kind,
        "parameters": p,
        "light": [float(v) for v in light],
        "encoded": forward,
        "code": [float(v) for v in code],
        "decoded": apply(transform, code),
    }


curves = [curve(kind) for kind in ("affine", "camera", "slope") for _ in range(4)]
pathlib.Path(__file__).with_name("ocio.json").write_text(
    json.dumps({"OpenColorIO": ocio.__version__, "curves": curves}, indent=1) + "\n"
)
