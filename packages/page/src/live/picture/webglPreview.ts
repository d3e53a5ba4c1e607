import type { LatticeLut } from '@isochip/export'
import type { Planes } from '../form/planes.ts'
import { codesOf, decodingOf } from '../form/signalForm.ts'
import type { LutPreview } from './plainPreview.ts'

const vertex = `#version 300 es
out vec2 at;
void main() {
  vec2 corner = vec2(gl_VertexID & 1, gl_VertexID >> 1) * 2.0;
  at = vec2(corner.x, 1.0 - corner.y);
  gl_Position = vec4(corner * 2.0 - 1.0, 0.0, 1.0);
}`

/** `decode` holds what makes R′G′B′ of Y′CbCr, column by column; it is the identity for R′G′B′. */
const fragment = `#version 300 es
precision highp float;
precision highp sampler3D;
uniform sampler2D p, q, s;
uniform sampler3D lattice;
uniform vec3 black, gain;
uniform mat3 decode;
in vec2 at;
out vec4 shown;
void main() {
  vec3 code = vec3(texture(p, at).r, texture(q, at).r, texture(s, at).r);
  vec3 level = clamp(decode * ((code - black) * gain), 0.0, 1.0);
  float size = float(textureSize(lattice, 0).x);
  shown = vec4(texture(lattice, level * ((size - 1.0) / size) + 0.5 / size).rgb, 1.0);
}`

/** Pixels across of what is drawn. */
const widest = 1280

/** Drivers that make pixels on the processor: of ANGLE, Mesa and Windows. */
const onProcessor = /swiftshader|llvmpipe|softpipe|software|basic render/i

/**
 * On WebGL 2, whose 3D textures are LUTs; undefined where the browser has none, or only one without a GPU: that takes many
 * times what a plain canvas does.
 */
export function webglPreview(canvas: OffscreenCanvas, slowToo = false): LutPreview | undefined {
  if (!slowToo && !hasGpu()) return undefined
  const gl = canvas.getContext('webgl2', { alpha: false })
  if (gl === null) return undefined
  const program = linked(gl)
  gl.useProgram(program)
  const place = (name: string) => gl.getUniformLocation(program, name)
  const units = ['p', 'q', 's', 'lattice'] as const
  for (const [unit, name] of units.entries()) gl.uniform1i(place(name), unit)
  const [black, gain, decode] = [place('black'), place('gain'), place('decode')]
  const textures = units.map(() => gl.createTexture())
  let uploaded: LatticeLut | undefined
  // Rows of any length.
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1)

  const upload = (lattice: LatticeLut) => {
    uploaded = lattice
    gl.activeTexture(gl.TEXTURE3)
    gl.bindTexture(gl.TEXTURE_3D, textures[3]!)
    for (const side of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T, gl.TEXTURE_WRAP_R])
      gl.texParameteri(gl.TEXTURE_3D, side, gl.CLAMP_TO_EDGE)
    gl.texParameteri(gl.TEXTURE_3D, gl.TEXTURE_MIN_FILTER, gl.LINEAR)
    gl.texParameteri(gl.TEXTURE_3D, gl.TEXTURE_MAG_FILTER, gl.LINEAR)
    const { size, tableRedFastest: table } = lattice
    // Halves, which every WebGL 2 filters; of single floats not every one.
    gl.texImage3D(
      gl.TEXTURE_3D,
      0,
      gl.RGB16F,
      size,
      size,
      size,
      0,
      gl.RGB,
      gl.FLOAT,
      Float32Array.from(table),
    )
  }
  const plane = (unit: number, samples: Uint8Array, width: number, height: number) => {
    gl.activeTexture(gl.TEXTURE0 + unit)
    gl.bindTexture(gl.TEXTURE_2D, textures[unit]!)
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE)
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE)
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR)
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8, width, height, 0, gl.RED, gl.UNSIGNED_BYTE, samples)
  }

  return {
    draw({ planes, form: { matrix, range }, lattice }) {
      if (lattice === undefined) return
      const { kind, width, height, across, down } = planes
      if (uploaded !== lattice) upload(lattice)
      const step = Math.max(1, Math.ceil(width / widest))
      const [w, h] = [Math.ceil(width / step), Math.ceil(height / step)]
      if (canvas.width !== w || canvas.height !== h) Object.assign(canvas, { width: w, height: h })
      gl.viewport(0, 0, w, h)
      const [y, cb, cr] = inBytes(planes)
      plane(0, y, width, height)
      plane(1, cb, Math.ceil(width / across), Math.ceil(height / down))
      plane(2, cr, Math.ceil(width / across), Math.ceil(height / down))
      const { black: low, peak, reach } = codesOf(range)
      const isRgb = kind === 'rgb'
      const middle = (isRgb ? low : 128) / 255
      const far = 255 / (isRgb ? peak : reach)
      gl.uniform3f(black, low / 255, middle, middle)
      gl.uniform3f(gain, 255 / peak, far, far)
      const { r, gr, gb, b } = decodingOf(matrix)
      gl.uniformMatrix3fv(
        decode,
        false,
        isRgb ? [1, 0, 0, 0, 1, 0, 0, 0, 1] : [1, 1, 1, 0, -gb, b, r, -gr, 0],
      )
      gl.drawArrays(gl.TRIANGLES, 0, 3)
    },
  }
}

/** Asked on a canvas of its own: one that has given a context for WebGL gives none for plain pictures. */
function hasGpu(): boolean {
  const gl = new OffscreenCanvas(1, 1).getContext('webgl2', { failIfMajorPerformanceCaveat: true })
  if (gl === null) return false
  // Not every browser counts its own emulation as a caveat. The name of the driver stands in one place or the other.
  const known = gl.getExtension('WEBGL_debug_renderer_info')
  const name = String(gl.getParameter(known === null ? gl.RENDERER : known.UNMASKED_RENDERER_WEBGL))
  gl.getExtension('WEBGL_lose_context')?.loseContext()
  return !onProcessor.test(name)
}

/** Planes of more than 8 bits without their lowest ones: on a screen they do not show. */
function inBytes({ samples, bits }: Planes): readonly [Uint8Array, Uint8Array, Uint8Array] {
  const of = (plane: Planes['samples'][number]) =>
    plane instanceof Uint8Array ? plane : Uint8Array.from(plane, (code) => code / 2 ** (bits - 8))
  return [of(samples[0]), of(samples[1]), of(samples[2])]
}

function linked(gl: WebGL2RenderingContext): WebGLProgram {
  const program = gl.createProgram()
  for (const [type, source] of [
    [gl.VERTEX_SHADER, vertex],
    [gl.FRAGMENT_SHADER, fragment],
  ] as const) {
    const shader = gl.createShader(type)!
    gl.shaderSource(shader, source)
    gl.compileShader(shader)
    gl.attachShader(program, shader)
  }
  gl.linkProgram(program)
  if (gl.getProgramParameter(program, gl.LINK_STATUS) !== true)
    throw new Error(gl.getProgramInfoLog(program) ?? 'the shader cannot be linked')
  return program
}
