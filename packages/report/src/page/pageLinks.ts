import type { ShowReport } from '../showReport.ts'

/** Identifies one setup's part of a page. */
export const setupAnchor = (setup: number) => `s${setup}`

/** Identifies one camera's part of it. */
export const cameraAnchor = (setup: number, camera: number) => `s${setup}c${camera}`

/** Identifies its cautions. */
export const cautionsAnchor = (camera: string) => `${camera}-cautions`

/** Where the verdict leads to. */
export interface PageLinks {
  setup(setup: number): string
  camera(setup: number, camera: number): string
  cautions(setup: number, camera: number): string
}

/**
 * @param setupPage where the page of a setup lies, in which it is the only one; default: all are in the page itself
 */
export function pageLinks(report: ShowReport, setupPage?: (setup: string) => string): PageLinks {
  const page = (setup: number) => setupPage?.(report.setups[setup]!.setup) ?? ''
  const there = (setup: number) => (setupPage === undefined ? setup : 0)
  return {
    setup: (setup) => `${page(setup)}#${setupAnchor(there(setup))}`,
    camera: (setup, camera) => `${page(setup)}#${cameraAnchor(there(setup), camera)}`,
    cautions: (setup, camera) => `${page(setup)}#${cautionsAnchor(cameraAnchor(there(setup), camera))}`,
  }
}
