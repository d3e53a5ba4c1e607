import { anglesText, conditionText, deltaEText, gainText, indexText, termText } from '../digits.ts'
import { Markup, markup } from '../page/markup.ts'
import { figure, numbers } from '../page/numbers.ts'
import { style } from '../page/style.ts'
import { unquoted } from '../page/unquoted.ts'
import { matrixTerms } from '../plots/responses/matrixTerms.ts'
import { principalAngleDots } from '../plots/responses/principalAngleDots.ts'
import { responseMatrix } from '../plots/responses/responseMatrix.ts'
import {
  allMaps,
  type ResponseMapReport,
  type ResponseReport,
  type SetupResponses,
} from './responseReport.ts'

/** Nothing is loaded and nothing runs. */
const policy = `default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'`

const rgb = ['R', 'G', 'B']
const xyz = ['X', 'Y', 'Z']

function overview(setup: SetupResponses): Markup {
  const maps = allMaps(setup)
  const names = [...new Set(maps.flatMap(({ map }) => [map.from, map.to]))]
  const angles = [
    ...setup.pairs.map(({ a, b, principalAngles }) => ({ name: `${a} – ${b}`, angles: principalAngles })),
    ...setup.observer.map(({ camera, toObserver, principalAngles }) => ({
      name: `${camera} – ${toObserver.to}`,
      angles: principalAngles,
    })),
  ]
  const indices = Object.entries(setup.metamerism)
  return markup`<div class="figures">${
    names.length > 0 &&
    figure(
      'What no matrix removes',
      'Mean ΔE00 on scene light that the best linear map leaves, from the camera in the row to the one in the column, where it is measured. The deeper the tint, the more.',
      responseMatrix(
        names,
        maps.map(({ map }) => ({ from: map.from, to: map.to, mean: map.remaining.mean })),
        `${setup.setup}: mean ΔE00 left by the best linear map`,
      ),
      numbers(
        'what remains',
        'from → to',
        ['mean', '95 %', 'worst', 'worst patch'],
        maps.map(({ map: { from, to, remaining } }) => ({
          name: `${from} → ${to}`,
          cells: [...[remaining.mean, remaining.p95, remaining.max].map(deltaEText), remaining.worst],
        })),
      ),
    )
  }${
    angles.length > 0 &&
    figure(
      'Principal angles',
      'Between the spaces of the responses. Open circle: smallest; grey: middle; filled: largest. All zero: the two see alike up to a matrix. Noise adds to them.',
      principalAngleDots(angles, 520, `${setup.setup}: principal angles of every pair, degrees`),
      numbers(
        'principal angles, degrees',
        'pair',
        ['smallest', 'middle', 'largest'],
        angles.map((row) => ({ name: row.name, cells: row.angles.map(anglesText) })),
      ),
    )
  }</div>${
    indices.length > 0 &&
    markup`<h3 class="maps">Sensitivity metamerism index</h3><p class="facts">100: sees like the observer, up to a matrix. Its assumptions are at the end of the page.</p><div class="wide" tabindex="0" role="region" aria-label="Sensitivity metamerism index, ${setup.setup}"><table class="numbers"><thead><tr><th scope="col">camera<th scope="col">index<th scope="col">mean ΔE*ab<th scope="col">worst ΔE*ab<th scope="col">patches<tbody>${indices.map(
      ([camera, { index, meanDE76, maxDE76, patches }]) =>
        markup`<tr><th scope="row"><bdi>${camera}</bdi><td>${indexText(index)}<td>${deltaEText(meanDE76)}<td>${deltaEText(maxDE76)}<td>${patches}`,
    )}</table></div>`
  }`
}

function mapFigure(setup: SetupResponses, map: ResponseMapReport): Markup {
  const from = setup.observer.some(({ fromObserver }) => map === fromObserver) ? xyz : rgb
  const to = setup.observer.some(({ toObserver }) => map === toObserver) ? xyz : rgb
  const terms = to.flatMap((row) => from.map((column) => `${row} from ${column}`))
  const { remaining, noiseAmplification: noise } = map
  const facts = [
    ['patches', `${map.patches}, rank ${map.rank}, condition ${conditionText(map.condition)}`],
    ['noise gain', `× ${to.map((channel, i) => `${channel} ${gainText(noise[i as 0])}`).join(', ')}`],
    [
      'residual',
      `mean ${deltaEText(remaining.mean)}, 95 % ${deltaEText(remaining.p95)}, worst ${deltaEText(remaining.max)} (${remaining.worst})`,
    ],
  ]
  return figure(
    `${map.from} → ${map.to}`,
    'Terms of the matrix: tick, the value; band, its 95 % confidence interval.',
    markup`${matrixTerms(map.matrix, map.interval, terms, `${setup.setup}, ${map.from} to ${map.to}: the nine terms of the matrix`)}<dl class="set">${facts.map(([what, say]) => markup`<dt>${what}</dt><dd>${say}</dd>`)}</dl>`,
    numbers(
      'matrix',
      'term',
      ['value', 'low', 'high'],
      map.matrix.flat().map((value, i) => {
        const [low, high] = map.interval[Math.floor(i / 3)]![i % 3]!
        return { name: terms[i]!, cells: [value, low, high].map(termText) }
      }),
    ),
  )
}

function setupPart(setup: SetupResponses): Markup {
  return markup`<section><h2><bdi>${setup.setup}</bdi></h2>${
    setup.cautions.length > 0 &&
    markup`<div class="warn">${setup.cautions.map((caution) => markup`<p>${caution}</p>`)}</div>`
  }${overview(setup)}<h3 class="maps">Matrices, both ways</h3><div class="figures">${allMaps(setup).map(({ map }) => mapFigure(setup, map))}</div></section>`
}

/**
 * One self-contained page about how the cameras of a show respond: what no matrix removes, angles, metamerism, and
 * every matrix with its intervals, with the numbers behind every picture. It loads nothing and runs nothing, follows
 * the reader's light or dark setting and prints on A4. Same input, same bytes.
 */
export function responsesHtml(report: ResponseReport): string {
  const title = `${report.title}: responses`
  const body = markup`<header><h1><bdi>${report.title}</bdi></h1><p class="sum">How the cameras respond to ${report.chart}</p><p class="facts">Linear light, each camera in its own primaries; the observer in XYZ, relative to D65. Intervals: 95&nbsp;%.</p>${
    report.failures.length > 0 &&
    markup`<div class="warn">${report.failures.map(
      ({ message, place: { setup, camera } }) =>
        markup`<p>Could not be read: <bdi>${[setup, camera].filter((name) => name !== undefined).join(', ')}</bdi>: ${message}</p>`,
    )}</div>`
  }</header><main>${report.setups.map(setupPart)}</main><footer><p>A chart has some dozens of colours: what it says of a sensor holds for colours and light like these.</p>${
    report.assumptions.length > 0 &&
    markup`<p>Assumptions of the metamerism index:</p><ul>${report.assumptions.map((text) => markup`<li>${text}`)}</ul>`
  }</footer>`
  return markup`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta http-equiv="Content-Security-Policy" content="${policy}"><title>${title}</title><style>${new Markup(style)}</style></head><body>
${unquoted(body)}
</body></html>
`.text
}
