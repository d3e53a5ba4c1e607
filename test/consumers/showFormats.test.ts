import { appendFileSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { decodeRgb, resolveEncoding, type Vec3 } from '@isochip/core'
import { cdlTransform, samplePoints } from '@isochip/export'
import { lutFunction, matchShow, readLutFile } from '@isochip/show/node'
import { beforeAll, expect, it } from 'vitest'
import { writeSmallShow } from '../scenarios/support/smallShow.ts'
import { consumer } from '../support/consumer.ts'

const script = fileURLToPath(new URL('./ocioConfig.py', import.meta.url))
const colours = [...samplePoints(64)]

let out: string
let files: readonly string[]
beforeAll(async () => {
  const folder = await writeSmallShow()
  appendFileSync(join(folder, 'show.yaml'), 'output: { formats: [cube, clf, cdl, ocio] }\n')
  const matched = await matchShow(join(folder, 'show.yaml'))
  out = matched.out
  files = matched.files
})

const python = consumer('pyopencolorio')
python.describe('OpenColorIO reads the config of a show', () => {
  it('names every camera and setup, and gives the pixels of their LUTs', async () => {
    const names = ['default/wide', 'default/cross', 'default/crane']
    const jobs = names.map((space) => ({ space, to: 'target', colours }))
    jobs.push({ space: 'target', to: 'light', colours })
    const config = join(out, 'config.ocio')
    const told = JSON.parse(python.run([script], JSON.stringify({ config, jobs })).toString()) as {
      spaces: string[]
      out: Vec3[][]
    }
    expect(told.spaces.sort()).toEqual([...names, 'target', 'light', 'raw'].sort())
    // What comes out of BT.709 decoded is light by BT.709-6, item 1.2, inverted; what it printed is rounded: see `clfFromMatch`.
    const bt709 = resolveEncoding('bt709')
    for (const [j, colour] of colours.entries())
      for (const [c, x] of decodeRgb(bt709, colour).entries())
        expect(Math.abs(told.out[names.length]![j]![c]! - x)).toBeLessThan(5e-4)
    for (const [i, name] of names.entries()) {
      const ours = lutFunction(await readLutFile(join(out, `${name}.clf`)))
      // Single precision, and OpenColorIO's quick logarithms and powers.
      for (const [j, colour] of colours.entries())
        for (const [c, x] of ours(colour).entries())
          expect(Math.abs(told.out[i]![j]![c]! - x)).toBeLessThan(2e-4)
    }
  })
  it.each(['.cdl', '.cc'])('and a CDL of ours as %s', (ending) => {
    const cdl = join(out, `default/cross${ending}`)
    const text = readFileSync(cdl, 'utf8')
    const numbers = (name: string) =>
      new RegExp(`<${name}>(.*)</${name}>`).exec(text)![1]!.split(' ').map(Number) as unknown as Vec3
    const ours = cdlTransform({
      slope: numbers('Slope'),
      offset: numbers('Offset'),
      power: numbers('Power'),
      saturation: numbers('Saturation')[0],
    })
    const [theirs] = JSON.parse(
      python.run([script], JSON.stringify({ cdl, id: 'default-cross', colours })).toString(),
    ) as [Vec3[]]
    for (const [j, colour] of colours.entries())
      for (const [c, x] of ours(colour).entries()) expect(Math.abs(theirs[j]![c]! - x)).toBeLessThan(2e-4)
  })
})

const ociocheck = consumer('ociocheck')
ociocheck.describe('ociocheck', () => {
  it('passes the config of a show', () => {
    const said = ociocheck.run(['--iconfig', join(out, 'config.ocio')]).toString()
    expect(said).toContain('default/cross')
    // Of the roles that it asks for, those of one facility's tools are not ours to fill.
    expect(said).not.toMatch(/error/i)
    expect(said).toContain('light (scene_linear)')
  })
})

it('the config and the CDLs are files of the run', () => {
  expect(files).toEqual(expect.arrayContaining(['config.ocio', 'default/cross.cdl', 'default/cross.cc']))
  const sums = readFileSync(join(out, 'checksums.sha256'), 'utf8')
  for (const name of ['config.ocio', 'default/cross.cdl', 'default/cross.cc'])
    expect(sums).toContain(`  ${name}`)
})

it('a camera that could not be matched is not in the config', async () => {
  const folder = await writeSmallShow()
  appendFileSync(join(folder, 'show.yaml'), 'output: { formats: [ocio, cube] }\n')
  writeFileSync(join(folder, 'cross.csv'), 'patch,r,g,b\n')
  const { failures, out: partly } = await matchShow(join(folder, 'show.yaml'))
  expect(failures).toHaveLength(1)
  const config = readFileSync(join(partly, 'config.ocio'), 'utf8')
  expect(config).toContain('src: "default/crane.cube"')
  expect(config).not.toContain('cross')
})
