import { type Browser, type OpenPage, openPage } from '../../../report/test/support/openPage.ts'

/** The match page, whose workers do not rehearse: that takes twenty seconds of processor time, and is one test's subject. */
export const openAtRest = (
  browser: Browser,
  address: string,
  options: Parameters<typeof openPage>[2] = {},
): Promise<OpenPage> => openPage(browser, `${address}#no-rehearsal`, { offline: false, ...options })
