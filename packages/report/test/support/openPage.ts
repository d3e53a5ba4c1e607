import { existsSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import axe from 'axe-core'
import { type BrowserContextOptions, chromium, type Page } from 'playwright-core'

export interface OpenPage {
  readonly page: Page
  /** Errors of the page: console, exceptions, refusals of the security policy. */
  readonly faults: readonly string[]
  /** Addresses asked for other than the page's own file and what it carries inside. */
  readonly requests: readonly string[]
}

/** Where the shell would find a command. */
function onPath(command: string): string {
  const places = (process.env.PATH ?? '').split(delimiter).map((folder) => join(folder, command))
  return places.find((place) => existsSync(place)) ?? command
}

/**
 * What Chromium leaves: pages of its own user interface, which it loads behind every window and which take half a second of processor
 * time each, and what asks the network. The same switch of Playwright's gives way to this one, so what matters of it stands here too.
 */
const withoutFeatures = [
  ...['PreloadTopChromeWebUI', 'WebUIOmniboxPopup', 'WebUIOmniboxAimPopup', 'AimEnabled'],
  ...['HttpsUpgrades', 'HttpsFirstBalancedModeAutoEnable', 'MediaRouter', 'NetworkTimeServiceQuerying'],
  ...['OptimizationHints', 'PreconnectToSearch', 'PaintHolding', 'ThirdPartyStoragePartitioning'],
  ...['AvoidUnnecessaryBeforeUnloadCheckSync', 'DestroyProfileOnBrowserClose'],
]

/** Chromium with everything of its own that talks to the network turned off. @param more arguments */
export const launch = (command: string, more: readonly string[] = []) =>
  chromium.launch({
    executablePath: onPath(command),
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--force-color-profile=srgb',
      '--hide-scrollbars',
      `--disable-features=${withoutFeatures.join()}`,
      ...more,
    ],
  })

/** What a page is waited for at most: for what hangs, not for what a busy machine does slowly. */
const patience = 300_000

export type Browser = Awaited<ReturnType<typeof launch>>

/** The file at `address` in a context of its own. Close with `page.context().close()`. */
export async function openPage(
  browser: Browser,
  address: string,
  options: BrowserContextOptions = {},
): Promise<OpenPage> {
  const context = await browser.newContext({
    offline: true,
    reducedMotion: 'reduce',
    viewport: { width: 1280, height: 900 },
    ...options,
  })
  context.setDefaultTimeout(patience)
  const page = await context.newPage()
  const faults: string[] = []
  const requests: string[] = []
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') faults.push(message.text())
  })
  page.on('pageerror', (error) => faults.push(error.message))
  page.on('request', (request) => {
    if (request.url() !== address && !request.url().startsWith('data:')) requests.push(request.url())
  })
  await page.goto(address)
  return { page, faults, requests }
}

/** What axe finds serious or critical in a page, each with the first of its places. */
export async function seriousFaults(page: Page): Promise<string[]> {
  await page.evaluate(axe.source)
  const { bad, passes } = (await page.evaluate(`
    axe.run(document, { resultTypes: ['violations'] }).then(({ violations, passes }) => ({
      passes: passes.length,
      bad: violations
        .filter(({ impact }) => impact === 'serious' || impact === 'critical')
        .map(({ id, nodes }) => id + ': ' + nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')),
    }))`)) as { passes: number; bad: string[] }
  // Nothing to find because nothing was looked at would be no finding.
  return passes > 15 ? bad : [`only ${passes} rules apply`]
}
