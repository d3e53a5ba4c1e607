/**
 * The page's style. Every grey is neutral (R = G = B), because a tinted surround shifts how the patches look. What a
 * colour says, a shape or a word says too.
 */
export const style = `
:root{color-scheme:light dark;--paper:#f2f2f2;--card:#fcfcfc;--ink:#1b1b1b;--faint:#5b5b5b;--rule:#d2d2d2;--line:#8a8a8a;--key:#1d4e9e;--good:#0d6a3b;--doubt:#8a5a00;--bad:#a3221b;--r:#bf2a24;--g:#1f7a34;--b:#2a5bd0;--p1:#cfcfcf;--p2:#e9c46a;--p3:#9fc5e8;--p4:#b6d7a8;--p5:#d9a6c8}
@media (prefers-color-scheme:dark){:root{--paper:#161616;--card:#202020;--ink:#ededed;--faint:#ababab;--rule:#3c3c3c;--line:#8c8c8c;--key:#93b7ff;--good:#74d3a2;--doubt:#f0b429;--bad:#ff968c;--r:#ff7a70;--g:#62cf7c;--b:#86aaff;--p1:#6d6d6d;--p2:#8a6d1c;--p3:#34618c;--p4:#3f6b30;--p5:#7d4169}}
*{box-sizing:border-box}
html{scroll-padding-top:5rem}
body{margin:0;background:var(--paper);color:var(--ink);font:15px/1.45 system-ui,"Segoe UI",Roboto,"Noto Sans",sans-serif;font-variant-numeric:tabular-nums}
header,main,footer,.tools-inner{max-width:1240px;margin:0 auto;padding:0 20px}
h1,h2,h3{line-height:1.2;margin:0;text-wrap:balance;overflow-wrap:anywhere}
h1{font-size:1.9rem;padding-top:24px}
h2{font-size:1.4rem;margin:44px 0 10px;border-bottom:2px solid var(--ink);padding-bottom:6px}
h3{font-size:1.15rem}
p{margin:.4em 0;max-width:78ch;overflow-wrap:anywhere}
a{color:var(--key)}
:focus-visible{outline:3px solid var(--key);outline-offset:2px}
.sum{font-size:1.25rem;font-weight:600}
.facts{color:var(--faint)}
h4{margin:12px 0 0;font-size:inherit;font-weight:500;color:var(--faint)}h4+.set{margin-top:4px}
.halves{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:0 34px;align-items:start}header .halves .set{margin-top:34px;font-size:.92rem}
.next{max-width:60ch}
.skip{position:absolute;left:-99em}.skip:focus{left:20px;top:4px;background:var(--card);padding:4px 8px;z-index:9}
.state{font-weight:650;white-space:nowrap}.within{color:var(--good)}.doubtful{color:var(--doubt)}.outside{color:var(--bad)}.target{color:var(--faint)}
.state svg{vertical-align:-2px;margin-right:.4em}
.state path,.state circle{fill:none;stroke:currentColor;stroke-width:2}
table{border-collapse:collapse;font-size:.92rem}
th,td{padding:5px 12px 5px 0;text-align:left;vertical-align:top;overflow-wrap:break-word}
thead th{color:var(--faint);font-weight:500;border-bottom:1px solid var(--rule);white-space:nowrap}
.verdict{width:100%}
.verdict tr.set-row{border-bottom:1px solid var(--rule)}.verdict tr.set-row td{padding-top:0}
.verdict td.n,.verdict small{white-space:nowrap}
.verdict tbody th{font-weight:650;min-width:5em}
.verdict ul{margin:0;padding:0;list-style:none}.verdict li{display:inline-block;margin-right:.9em}
.verdict .setup th{padding-top:14px;font-size:1.08rem}
.verdict small,.verdict i{font-weight:400;color:var(--faint);font-style:normal}.verdict .set-row b{font-weight:600}.verdict .setup span{font-size:.92rem;margin-left:1.2em}
.tools{position:sticky;top:0;z-index:5;background:var(--paper);border-bottom:1px solid var(--rule);margin-top:24px}
.tools-inner{display:flex;flex-wrap:wrap;gap:4px 26px;padding-top:8px;padding-bottom:8px;align-items:center;font-size:.92rem}
.tools fieldset{border:0;margin:0;padding:0;display:flex;flex-wrap:wrap;gap:2px 14px}
.tools legend{float:left;color:var(--faint);margin-right:10px;padding:0;line-height:24px}
.tools label{display:inline-flex;gap:5px;align-items:center;min-height:24px;line-height:24px;overflow-wrap:anywhere}
.tools input{accent-color:var(--key);width:16px;height:16px;margin:0}
.tools select{font:inherit;color:inherit;background:var(--card);border:1px solid var(--line);border-radius:4px;padding:2px 4px;max-width:14em}
.tools .pick{display:none}.js .tools .pick{display:inline-flex;gap:8px;align-items:center}
.camera{margin:18px 0 34px;padding:16px 20px 20px;background:var(--card);border:1px solid var(--rule);content-visibility:auto;contain-intrinsic-size:auto 1900px}
.cap{display:flex;flex-wrap:wrap;gap:4px 18px;align-items:baseline}
.set{display:grid;grid-template-columns:max-content 1fr;gap:2px 16px;margin:12px 0 4px}
.set dt{color:var(--faint)}.set dd{margin:0;overflow-wrap:anywhere}.whole{display:inline-block}
.figures{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:26px 34px;align-items:start;grid-auto-flow:dense;margin-top:18px}
figure{margin:0;min-width:0}
figure.tall{grid-row:span 2}figure.broad{grid-column:1/-1}
figcaption{margin-bottom:8px}
figcaption b{display:block}
figcaption span{color:var(--faint);font-size:.88rem}
details{margin-top:8px;font-size:.88rem}
summary{cursor:pointer;color:var(--key);width:max-content;max-width:100%;min-height:24px}
.wide{overflow-x:auto}
.numbers th,.numbers td{padding:1px 10px 1px 0;white-space:nowrap}
.numbers tbody th{font-weight:400}.numbers td{text-align:right}.numbers thead th{text-align:right}.numbers th:first-child{text-align:left}
.numbers td.w{text-align:left;white-space:normal;min-width:12em}
img{max-width:100%;height:auto;display:block}
.warn{border-left:4px solid var(--bad);padding-left:12px;margin:12px 0}.warn p{margin:.2em 0}.warn.doubts{border-color:var(--doubt)}
footer{margin-top:50px;padding-bottom:50px;border-top:2px solid var(--ink);padding-top:14px}
footer code{overflow-wrap:anywhere;font-size:.82rem}
svg.plot:is(.fields,.split){width:100%}
#parade text{font-size:12.5px}svg.plot{display:block;max-width:100%;height:auto;overflow:visible;font-size:12.5px}
.plot text{fill:var(--ink)}.plot .tick,.plot .faint{fill:var(--faint)}
.end{text-anchor:end}.mid{text-anchor:middle}
.grid{stroke:var(--rule);fill:none}.zero{stroke:var(--line);fill:none}
.as{fill:none;stroke:var(--ink);stroke-width:1.3}text.as,.as text{stroke:none;fill:var(--faint)}
.mt{stroke:var(--ink);stroke-width:1}text.mt,.mt text{stroke:none}
.way{stroke:var(--line);fill:none;stroke-width:1.1}
.limit{stroke:var(--bad);fill:none;stroke-width:1.6;stroke-dasharray:5 3}
.beyond{font-weight:700}.plot .beyond{fill:var(--bad)}
.fields text{text-anchor:middle;transform:translate(30px,58px)}.fields .mt{stroke:none}.struck{stroke:#000;stroke-width:2;paint-order:stroke;filter:drop-shadow(0 0 1px #fff)}
.fields .on text{font-weight:700}
.skin{stroke:var(--line);stroke-dasharray:1 4;stroke-width:2;stroke-linecap:round}
.hex{fill:none;stroke:var(--line);stroke-width:1.2}.hex.own{stroke:var(--ink);stroke-dasharray:6 4}
#graticule text,#bars text,.scope text{font-size:12.5px;fill:var(--ink);paint-order:stroke;stroke:var(--card);stroke-width:3px;stroke-linejoin:round}
.box{fill:none;stroke:var(--ink);stroke-width:1.5}
.aim{stroke:var(--ink);fill:none;stroke-width:1.3}
.miss{stroke:var(--ink);stroke-width:1.6;fill:none}.spot{stroke:var(--line);r:4px}
.waveform .as,.waveform .mt{stroke:url(#rgb);fill:none}.waveform .as{stroke-dasharray:3 3}.waveform .mt{stroke-width:4}.waveform .aim{stroke-width:1}#parade text{fill:var(--faint)}#parade :is(.r,.g,.b){fill:currentColor;font-weight:600}stop{stop-color:currentColor}
.plot.scope{overflow:hidden}.scope .as{r:3px}.scope .mt{r:3.5px}
.ideal{stroke:var(--line);stroke-width:1.2;fill:none}
.r{color:var(--r)}.g{color:var(--g)}.b{color:var(--b)}
.grey .as,.grey .mt{stroke:currentColor;fill:none;stroke-width:1.4}marker.grey .mt{fill:currentColor}marker.grey .as{fill:var(--card)}.plot.grey .as{stroke-dasharray:4 4}
${(['as', 'mt'] as const).flatMap((stage) => ['r', 'g', 'b'].map((kind) => `.plot .${kind}.${stage}{marker:url(#${stage}-${kind})}`)).join('')}
.step{stroke:transparent;stroke-width:18}.step.on{stroke:var(--key);stroke-opacity:.22}
.bars rect.mt{x:124px;y:4px;height:9px;fill:var(--line);stroke:none}.bars rect.beyond{fill:var(--bad)}.bars rect.out{fill:none;stroke:var(--line);stroke-dasharray:2 2}
.chip{stroke:var(--line);y:3px;width:11px;height:11px}.bars circle{cy:8.5px;r:3px}.plot.bars text.as{text-anchor:end;fill:var(--faint)}.loo{stroke:var(--ink);stroke-width:2.4}.hit{fill:transparent}
.noise{fill:var(--p1)}.clipping{fill:var(--p2)}.unevenness{fill:var(--p3)}.curve{fill:var(--p4)}.spectral{fill:var(--p5)}.foreign{fill:var(--p2)}.undetermined{fill:var(--p1)}
.part{stroke:var(--card)}.plate{fill:var(--card)}
pattern path,pattern circle{stroke:var(--ink);stroke-opacity:.45;fill:none}
.shade{fill:var(--key);stroke:none}.self{fill:none;stroke:var(--rule)}.pairs g{stroke:none}.pairs .as text{fill:var(--ink)}
.evenness text{text-anchor:middle;transform:translateY(31px)}.evenness circle{fill:var(--ink)}.evenness .darker{fill:none;stroke:var(--ink);stroke-width:2}
.angle{stroke:var(--ink);stroke-width:1.4;fill:var(--card)}.angle.a2{fill:var(--line)}.angle.a3{fill:var(--ink)}.span{stroke:var(--line);stroke-width:7;fill:none}.value{stroke:var(--ink);stroke-width:2;fill:none}.maps{margin-top:30px}
.plot .seam{fill:none;stroke:#fff;stroke-width:2}.plot.split text{fill:var(--ink)}
.change .track{stroke:var(--rule);stroke-width:2}.change .way{stroke:var(--ink);stroke-width:2}.change .as{fill:var(--card)}.change .mt{fill:var(--ink)}
.change .limit{stroke-dasharray:none}
.js [data-p]{cursor:pointer}
.picking [data-p]:not(.on){opacity:.22}.picking .step{opacity:1!important}.picking .numbers [data-p]:not(.on),.picking .fields [data-p]:not(.on){opacity:.5}
.waveform .on .mt{stroke-width:7}.on .hit{fill:var(--key);fill-opacity:.16}.scope .on .mt{stroke-width:3}.evenness .on{stroke-width:3}
tr.on{outline:2px solid var(--key)}
:root:has(#stage-as:checked) .camera .plot:not(.bars) :is(.mt,.way),:root:has(#stage-as:checked) .pairs .mt{visibility:hidden}
:root:has(#stage-mt:checked) .camera .plot:not(.bars) :is(.as,.way),:root:has(#stage-mt:checked) .pairs .as{visibility:hidden}
:root:has(#stage-mt:checked) .fields use.mt{transform:translate(-60px) scale(2,1)}
:root:has(#stage-as:checked) .fields .b{display:inline}:root:has(#stage-as:checked) .fields :is(text:not(.b),.beyond),.fields .b{display:none}
:root:has(#stage-as:checked) .split .as,:root:has(#stage-mt:checked) .split .mt{clip-path:none}
:root:has(#stage-as:checked) .split .seam.as,:root:has(#stage-mt:checked) .split .seam.mt{visibility:hidden}
.changes{margin-top:34px}
@media screen and (max-width:700px){.figures,.halves{grid-template-columns:minmax(0,1fr)}header .halves .set{margin-top:6px}}
@media screen and (max-width:1080px){
.verdict thead{position:absolute;left:-99em}
.verdict,.verdict tbody,.verdict tr,.verdict th,.verdict td{display:block}
.verdict tr.head-row{padding-top:10px}.verdict tr.set-row{padding-bottom:10px}
.verdict td,.verdict tbody th{padding:1px 0}.verdict .head-row td,.verdict .head-row th{display:inline-block;margin-right:1.3em}
.verdict td[data-h]::before{content:attr(data-h) " ";color:var(--faint)}
.camera{padding:14px 12px}
header,main,footer,.tools-inner{padding-left:12px;padding-right:12px}
.tools{position:static}

}
@media print,(max-width:1000px){.fields text,.evenness text{font-size:15px}}
@media screen and (max-width:700px){#parade text{font-size:24px}}
@media screen and (max-width:480px){.fields text,.evenness text{font-size:18px}.plot:not(.fields,.evenness,.change){font-size:15px}}
@page{size:A4;margin:13mm}
@media print{
:root{color-scheme:light;--paper:#fff;--card:#fff;--ink:#000;--faint:#444;--rule:#ccc;--line:#777;--key:#1d4e9e;--good:#0d6a3b;--doubt:#8a5a00;--bad:#a3221b;--r:#bf2a24;--g:#1f7a34;--b:#2a5bd0;--p1:#cfcfcf;--p2:#e9c46a;--p3:#9fc5e8;--p4:#b6d7a8;--p5:#d9a6c8}
*{-webkit-print-color-adjust:exact;print-color-adjust:exact}
html{font-size:12px}body{font-size:9.5pt}.verdict{font-size:8.5pt}.change{width:100px}.verdict th,.verdict td{padding-right:7px;white-space:normal}.verdict td.n{min-width:7em}
.tools,.skip,details:not([open]){display:none}
header,main,footer{max-width:none;padding:0}
.camera{content-visibility:visible;break-before:page;border:0;padding:0;margin:0}.figures+.camera{break-before:auto;margin-top:16px}
h2{break-before:page;margin-top:0}main>section:first-of-type h2,.first{break-before:auto}
figure,tr,.set,.warn{break-inside:avoid}.head-row{break-after:avoid}
h2,h3,figcaption{break-after:avoid}
.figures{grid-template-columns:repeat(2,minmax(0,1fr));gap:10px 22px}
.plot.misses{max-height:74mm}.plot.grey{max-height:56mm}.plot.evenness{max-height:48mm}
}
`
