/**
 * What the chart finder is tuned by, stage by stage. All were set by hand on rendered scenes (scenes 1 to 300 of
 * `@isochip/synthetic`; judged on others) unless the line says more; nothing more exact is known of them.
 *
 * Before you change one: `packages/frames/test/finderScenes.test.ts` counts what is found on small scenes, and
 * `test/gallery/finderConstants.ts` prints what that check sees of a constant that is shifted by 30 % either way.
 */
export const constants = {
  /** The picture that is searched: smaller, each channel stretched and bent. */
  prepare: {
    /** Bins of a channel's histogram; numerics. */
    bins: 4096,
    /** Pixels counted in it at least, where there are as many; numerics. */
    counted: 200_000,
    /** The range of a channel ends where all but this share lies, times what follows: glints may be 100 times white. */
    coarseTop: 0.999,
    /** Room above the coarse end. */
    coarseRoom: 1.5,
    /** Quantile that becomes 0. */
    low: 0.002,
    /** Quantile that becomes 1. */
    high: 0.9985,
    /** Narrowest range that is stretched, fraction of full scale; numerics. */
    narrowest: 1e-4,
    /** A middle tone below this is brought up: linear light, underexposure. */
    darkMiddle: 0.22,
    /** Where a dark middle tone is brought to. */
    middle: 0.3,
    /** Smallest exponent of that bend. */
    strongestBend: 0.35,
    /** A channel clips when its largest value is within this share of the range of its upper quantile. */
    clipPile: 0.02,
    /** Highest level kept. */
    ceiling: 1.25,
    /** A cell clips this far below the clipping level. */
    clipMargin: 0.012,
  },
  /** Flat four-sided figures that may be patches. */
  candidates: {
    /** What edge detection takes from a region at every side, pixels; from the 3 × 3 kernel. */
    eroded: 1.2,
    /** Gradients per pixel below which a pixel is flat; from clean patches of little contrast to noisy ones. */
    thresholds: [0.006, 0.012, 0.022, 0.04, 0.07],
    /** Thresholds over the noise, in a picture where most of the above are below it. */
    overNoise: [1.6, 2.5],
    /** Smallest region, pixels. */
    smallest: 14,
    /** Largest region, share of the picture. */
    largest: 0.2,
    /** Least share of its convex hull that a region fills. */
    hullFill: 0.72,
    /** Least share of its quad that a region fills. */
    quadFill: 0.66,
    /** Least sine of the angle between the sides. */
    sine: 0.55,
    /** Largest ratio of the sides. */
    longest: 3.2,
    /** Figures at several thresholds are one patch when their middles are within this share of its side … */
    sameReach: 0.25,
    /** … and their areas within this factor. */
    sameArea: 3,
    /** Pixels looked at to tell the noise of a picture; numerics. */
    noiseSamples: 10_000,
    /** Noise is the gradient at this quantile: half of most frames has no edges … */
    noiseQuantile: 0.35,
    /** … times this, so that it lies above nearly all of the noise (Rayleigh: 1.8 × the 35 % quantile is the 85 %). */
    noiseFactor: 1.8,
    /** Gradient of noise from which on a picture is searched a second time, median-filtered. */
    noisy: 0.012,
  },
  /** Candidates that stand in rows and columns. */
  lattice: {
    /** Least distance of neighbouring centres over the patch's side: touching patches. */
    leastSpacing: 0.86,
    /** Largest: gaps of three quarters. */
    mostSpacing: 1.75,
    /** Neighbours off the side's direction by at most this share of a side. */
    aside: 0.3,
    /** What a neighbour off the direction costs beside one that is far. */
    asideCost: 1.5,
    /** Largest ratio of two neighbours' areas. */
    areaRatio: 2.4,
    /** How far a candidate may lie off its place, in cells: much takes in bent charts, little keeps tiles apart. */
    strayed: [0.25, 0.12],
    /** Cells from where a lattice began; charts and tiles end before. */
    farthest: 40,
    /** Smallest and largest area of a member over its cell’s. */
    leastArea: 0.25,
    mostArea: 1.45,
    /** A cell this many times larger or smaller than the first has run away. */
    runAway: 30,
    /** Pitch over side where no two members are neighbours. */
    loosePitch: 1.15,
    /** Weight of a side, beside a centre, where members lie in one line. */
    sideWeight: 0.15,
    /** Lattices that are looked at. */
    most: 40,
  },
  /** Ways a chart may lie on a lattice. */
  placement: {
    /** Cells further from square than the chart's own by this factor are not its, even at 40° of slant. */
    slant: 1.7,
    /** Fewest candidates among a chart's cells, share of its patches … */
    fewest: 0.2,
    /** … and of the lattice's members. */
    fewestOfLattice: 0.6,
    /** Largest share of its cells out of the picture. */
    mostOutside: 0.35,
    /** Least explained share by the first look at a place, … */
    leastRough: 0.12,
    /** … and by the second, for a full fit. Of charts found in scenes 1 to 60 the least were 0.48 and 0.80. */
    leastWhole: 0.3,
    /** Places that get a full fit. */
    most: 8,
    /** The same of those that reach out of the picture. */
    mostCut: 4,
    /** Places that are ranked with regard to clipping, of thousands on a wall of tiles … */
    mostRough: 32,
    /** … and of those that reach out of the picture. */
    mostRoughCut: 12,
    /** Places for which veiling glare is measured before that. */
    mostVeiled: 16,
    /** A cell is even when its scatter is below this share of the scatter of all. */
    even: 0.3,
    /** Places that are refined: the best by all cells … */
    refinedByWhole: 4,
    /** … and by the best of the cells: under a lamp's mirror image. */
    refinedByBest: 2,
    /** Least explained share of a place that is refined: refining adds little, and `sure` asks for more. */
    refined: 0.6,
    /** A confidence that no other place on the same lattice could reach as well. */
    beyondDoubt: 0.8,
    /** Charts that explain each other to this share are one: a print and its measured copy. */
    alike: 0.9,
  },
  /** Colours of a lattice's cells. */
  cell: {
    /** Sample points along a side. */
    grid: 7,
    /** Share of the cell that they span. */
    span: 0.42,
    /** Sample points along a side of a crossing or a middle. */
    spots: 3,
    /** Share of a cell that those at a crossing of gaps span. */
    crossingSpan: 0.06,
    /** Share that those in the middle span. */
    middleSpan: 0.3,
  },
  /** Do a chart's reference values explain the colours of cells? */
  colour: {
    /** Power laws from display-like to nearly logarithmic: the camera's tone curve is not known. */
    bends: [0.5, 0.3, 0.12],
    /** Light added before the power: flare. */
    flare: 0.004,
    /** Share of the cells that glare, dirt or a hand may spoil, and that is dropped. */
    spoilt: 0.13,
    /** Share that a lamp's mirror image may spoil on a chart with enough patches; decision 0011. */
    glared: 0.4,
    /** What the best of the cells leave unexplained counts this many times: they fit a wrong place better, too. */
    distrust: 3,
    /** And only where all cells together are explained to this share. */
    trustedWhole: 0.6,
    /** Rounds of leaving out the worst; numerics. */
    rounds: 4,
    /** A fit as good as this needs no veil. */
    clear: 0.95,
    /** Below this the best of the cells are not looked for. */
    hopeless: 0.3,
    /** Fewest patches that bear a full matrix, and a veil beside it. */
    fullMatrix: 12,
    /** With fewer, crosstalk is held back by this share of the variation. */
    heldBack: 0.05,
    /** Colour differences that vary less than this share of lightness are those of a grey chart. */
    greyChart: 0.004,
    /** Fewest unclipped cells, share of the patches. */
    leastFree: 0.2,
    /** Least variance of cells that are not all alike. */
    flat: 1e-5,
    /** Ridge of the matrix; numerics. */
    ridge: 1e-6,
    /** Ridge of the veil; numerics. */
    veilRidge: 1e-4,
  },
  /** Veiling glare and uneven light; decision 0011. */
  veil: {
    /** The board is told from the patches when it differs by this share of their own scatter. */
    apart: 0.3,
    /** A veil whose scatter is below this is none. */
    slight: 0.02,
    /** A clipped cell is lost where the veil is so much above its median. */
    strong: 0.12,
    /** At most this share of the cells may be lost. */
    mostLost: 0.5,
    /** Weight of a cell that clips beside one that does not. */
    clippedWeight: 0.02,
  },
  /** Edges of patches, and the model through their middles. */
  refine: {
    /** Line through a patch, from −reach to reach in cells. */
    reach: 0.8,
    /** Samples along it; odd. */
    samples: 65,
    /** Parallel lines averaged, in cells from the middle. */
    lines: [-0.24, -0.12, 0, 0.12, 0.24],
    /** Weight of a patch whose edges show along one axis only. */
    halfSeen: 0.15,
    /** With fewer patches seen than this share, noise is in the way. */
    wellSeen: 0.7,
    /** How far a patch's edges may lie from the usual, in cells; round by round. */
    slack: [0.12, 0.08, 0.06, 0.06, 0.06],
    /** A round needs this share of the patches (4 to 6 suffice) … */
    leastSeen: 0.25,
    /** … and of those of the round before. */
    leastKept: 0.65,
    /** Offsets from the model, in cells, that weigh in full at least. */
    leastSpread: 0.03,
    /** Spread that halves a weight, over the median offset. */
    spread: 1.5,
    /** Offsets beyond this many spreads are left out of the misfit. */
    outlying: 3,
    /** The middle of a patch that tells its noise, in cells from its centre. */
    inner: 0.2,
    /** An edge is this many times the gradient there … */
    overInner: 3,
    /** … and at least this. */
    faintest: 0.012,
    /** Where an edge may be, in cells from the middle: from … */
    edgeFrom: 0.25,
    /** … to. */
    edgeTo: 0.72,
    /** An edge is at least this share of the strongest, when the usual size is not known … */
    ofStrongest: 0.4,
    /** … and when it is. */
    ofStrongestKnown: 0.15,
    /** Strongest lens: a few per cent are what cameras are delivered with; a fisheye is no lens for a chart. */
    strongestLens: 0.2,
    /** Fewest patches that a lens is measured on. */
    lensPatches: 10,
    /** A lens is taken on when it brings the squared misfit below this share: a small chart cannot tell. */
    lensGain: 0.5,
    /** Rounds of the golden section; numerics. */
    lensRounds: 16,
    /** Share of the colours explained that is worth refining until nothing moves. */
    promising: 0.5,
    /** Nothing moves when no corner does by this share of a pitch. */
    settled: 0.01,
    /** Rounds of that. */
    rounds: 3,
    /** Pixels of a cell that edges are measured on; more make them no better. */
    pitch: 36,
    /** Steps of the sizes a frame is made finer in, pixels: one serves several places. */
    sizeStep: 400,
    /** Finer by at most this factor. */
    finest: 2.5,
    /** Not made finer for less than this. */
    leastFiner: 1.3,
    /** Longest side of the picture for corners given by hand. */
    longest: 2000,
  },
  /** Charts of regions: flat figures of any shape that stand to each other as a chart's do. Set on scenes 20001 to 20300. */
  regions: {
    blobs: {
      /** Figures that are looked at, the largest. */
      most: 1200,
      /** Longest spread over the shortest. */
      longest: 5,
    },
    /** Neighbours that are looked at, of a region and of a figure. */
    neighbours: 8,
    /** Share of a region that its colour is taken of. */
    cellShare: 0.62,
    /** Chart turned over: middles are the same within this share of a region's width … */
    same: 0.2,
    /** … and this share of them has to be. */
    symmetric: 0.9,
    /** Figures at which a chart is looked for; one of its patches is enough. */
    anchors: 220,
    /** Neighbours of a figure lie within so many of its widths … */
    reach: 8,
    /** … and are larger or smaller by at most this factor. */
    areaFactor: 6,
    /** Vectors between neighbours are of one length when within this factor. */
    pairLength: 1.16,
    /** Share of a region's neighbours that have to be where the map has them. */
    nearShare: 0.6,
    /** How far off they may be, in their widths … */
    nearReach: 0.22,
    /** … and of their distance: perspective. */
    nearDrift: 0.07,
    /** Their areas are right within this factor. */
    sizeFactor: 1.9,
    /**
     * Colours of the regions and of the figures at their places. Of charts found in scenes 33001 to 33021 the least correlation of
     * lightness was 0.77, the least mean of both 0.85; of other places 95 in 100 have less than 0.42.
     */
    likeness: {
      /** Regions differ by so much, root mean square, of white; or nothing is told. */
      leastSpread: 0.03,
      /** Least correlation of lightness … */
      leastLight: 0.3,
      /** … and least mean of that and of the correlation of hues. */
      least: 0.5,
    },
    /** Rounds of growing over the whole chart, and how far a figure may be from its place then, in its widths. */
    rounds: 4,
    grownReach: [0.5, 0.45, 0.4, 0.35],
    /** Areas are right within this factor. */
    grownFactor: 2.4,
    /** Fewest regions with a figure … */
    fewest: 6,
    /** … and their share. */
    fewestShare: 0.26,
    /** Their share that the first round has to find. Of charts found in 33 scenes the least was 0.28. */
    firstShare: 0.17,
    /** With this share there is no doubt of the place: its figures are no anchors any more. */
    enough: 0.6,
    /** Figures that are tried after such a place. */
    afterwards: 24,
    /** Corners nearer than this are one place, working pixels. */
    samePlace: 6,
    /** Places whose colours are looked at. */
    most: 16,
    /** Least explained share by a first look at their colours. Of charts found in 33 scenes the least was 0.82. */
    leastRough: 0.3,
    /** Of them, each four ways up, those whose colours are fitted: the best by a first look. */
    fitted: 12,
    /** Of them those that are refined. */
    refined: 4,
    /**
     * Least explained share of a place, before and after it is refined, which adds 0.03 at most. More than `sure` asks for: a
     * chart of many colours has 0.88 and more where it is, and something else came to 0.78.
     */
    promising: 0.8,
    /** Least share of outlines that are seen. */
    leastOutlines: 0.3,
    board: {
      /** How far outside the outline the board is looked at, in half widths, and how far off all others. */
      away: 0.28,
      clear: 0.12,
    },
    /** What may be spent on one picture, and on all sizes of a frame; as in `budget`. */
    budget: { look: 400, total: 700 },
    /** What a figure costs that is tried, a place that is grown, and one that is refined. */
    cost: { anchor: 1, grown: 0.15, refined: 40 },
    refine: {
      /** Points about a circle at which its edge is looked for. */
      around: 16,
      /** Places along the side of a polygon. */
      alongSide: [0.2, 0.4, 0.6, 0.8],
      /** How far an edge may be from where it is expected, in half widths of the patch; round by round. */
      reaches: [0.55, 0.45, 0.35, 0.3, 0.3, 0.3],
      /** Samples along that; odd. */
      samples: 33,
      /** Parallel lines averaged, in half widths beside the point. */
      lines: [-0.12, 0, 0.12],
      /** An edge is at least this … */
      faintest: 0.012,
      /** … and this many times what changes deep in the patch. */
      overNoise: 3,
      /** A round needs this share of the points. */
      leastSeen: 0.2,
      /** Distances that weigh in full at least, working pixels … */
      least: 0.25,
      /** … and over the median distance. */
      outlying: 2.5,
      /** Spread of lenses' coefficients, per pixel of uncertainty. */
      lensSpread: 0.02,
      /** Of a perspective's change by one step. */
      perspectiveSpread: 0.05,
    },
  },
  /** What is taken for a chart; rendered scenes and 150 photographs without one were judged by it. */
  sure: {
    /** Least confidence. */
    value: 0.5,
    /** Least share of the colours explained. */
    explained: 0.72,
    /** Least margin over the next best place. */
    margin: 0.55,
    /** Least share of even patches. */
    even: 0.6,
    /** A place that explains this is named as doubtful. */
    doubtful: 0.5,
    /** A corner may lie out of the frame by this share of a patch: so well is it known. */
    outside: 0.15,
    /** Two charts are one when their middles are nearer than this share of the smaller diagonal. */
    overlap: 0.4,
  },
  /**
   * What a search may cost, in thousandths of a second on one core of a desktop of 2020: so that an answer does not depend
   * on the machine, work is counted, not time. Of charts found in scenes 1 to 106 one took 1869 in all and 922 in grids, all others 592 and 460 at most; for growing 3.
   */
  budget: {
    /** All of a frame, whatever is looked for, the pictures for it and one enlarged included. */
    whole: 2000,
    /** Charts in grids, but for … */
    total: 1000,
    /** … growing lattices, by round and member. */
    growing: 65,
    grown: 0.002,
    /** Candidates that are looked at, the largest. Cluttered rooms have hundreds. */
    candidates: 3000,
    /** Flat regions of a threshold that are looked at, the largest: more than cluttered rooms have. */
    regions: 6000,
    /** A picture made finer, for each million pixels of the frame … */
    frameMegapixel: 15,
    /** … and of the picture. */
    megapixel: 60,
    /** What is even in a picture, and a picture filtered, for each million of its pixels. */
    parts: 100,
    filtered: 60,
    /** A lattice … */
    lattice: 5,
    /** … and what each of its members adds. */
    member: 0.2,
    /** A place refined and judged … */
    refined: 50,
    /** … and refined until nothing moves. */
    settled: 70,
  },
  /** A small picture in which nothing is found is searched once more, enlarged: patches under eight pixels show no edges. */
  enlarged: {
    /** Longest side up to which one is small. */
    below: 640,
    factor: 2,
    /** Least side of a patch, pixels of the picture as it is: smaller ones were once taken for another place. */
    leastPatch: 4,
  },
  /** Longest side of the pictures that are searched, in this order, until a chart is found. */
  passes: {
    longest: [1000, 560, 1800, 320],
    /** A pass is run where the noise in the others was at least so much: it goes down with the size. */
    noise: [0, 0.03, 0, 0.05],
  },
}
