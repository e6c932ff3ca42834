// Pages in headless Chromium, as a person would have them: node tests/pages/look_at_page.mjs PAGE.html[=MOST]… [--into FOLDER]
//
// Prints what is wrong with each as JSON, an empty list where nothing is: requests beyond the page itself, words on the
// console, anything wider than the screen and words that are split at 390 and 1280 pixels, at twice the text and in another
// font, words over the edge of what they stand in, labels of the map upon each other as they are drawn, and what axe-core
// objects to, by light and, of a page of at most 60 drinks, in the dark; on paper a drink that is cut by the end of a page, a heading alone at the foot of
// one, type below 8.5 points, and more pages than MOST where that is said. Into a FOLDER go screenshots and the printed
// pages.
//
// Needs Chromium (CHROMIUM names it) and axe-core (npm ci in this folder).
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { ask, close, evaluate, load, on, open, screen } from "./browser.mjs";

const words = process.argv.slice(2);
const into = words.indexOf("--into");
const folder = into < 0 ? undefined : words.splice(into, 2)[1];
if (!words.length || (into >= 0 && !folder)) {
  console.error("expected: node look_at_page.mjs PAGE.html[=MOST]… [--into FOLDER]");
  process.exit(2);
}
const axe = readFileSync(new URL("./node_modules/axe-core/axe.min.js", import.meta.url), "utf8");

// ---- what is looked for

const TOO_WIDE = `(() => {
  const wide = document.documentElement.clientWidth, over = [];
  if (document.documentElement.scrollWidth > wide) over.push("the page is " + document.documentElement.scrollWidth + " wide");
  for (const e of document.querySelectorAll("body *")) {
    if (e.closest("defs,.h,title,desc") || getComputedStyle(e).display === "none") continue;
    const r = e.getBoundingClientRect();
    if (r.width && r.height && (r.right > wide + 1 || r.left < -1)) over.push(e.tagName + " " + (e.textContent || "").trim().slice(0, 30) + " reaches " + Math.round(r.left) + " to " + Math.round(r.right));
  }
  return over.slice(0, 5);
})()`;

// Words of up to so many letters are never broken over two lines; a longer one without a space may be.
const SPLIT = `(() => {
  const found = [], range = document.createRange();
  for (const cell of document.querySelectorAll("td,th,dt,small,b,.bar,.axis text,h2,h3,p")) {
    const walk = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    for (let node; (node = walk.nextNode()); ) {
      for (const word of node.textContent.matchAll(/[\\p{L}\\p{N}'.]+/gu)) {
        if (word[0].length > 13) continue;
        range.setStart(node, word.index);
        range.setEnd(node, word.index + word[0].length);
        const tops = new Set([...range.getClientRects()].filter((r) => r.width > 0).map((r) => Math.round(r.top / 4)));
        if (tops.size > 1) found.push("the word " + word[0] + " is split");
      }
    }
  }
  return found.slice(0, 5);
})()`;

// Words stay within the cell, the line or the drink that they stand in.
const OVER = `(() => {
  const found = [], range = document.createRange();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node; (node = walk.nextNode()); ) {
    const parent = node.parentElement, box = parent.closest("td,th,li,p,article,figcaption,h1,h2,h3");
    if (!box || !node.textContent.trim() || parent.closest("svg,style,.h") || getComputedStyle(box).display === "none") continue;
    range.selectNodeContents(node);
    const edge = box.getBoundingClientRect();
    for (const r of range.getClientRects()) {
      if (r.width && (r.right > edge.right + 1.5 || r.left < edge.left - 1.5)) {
        found.push(node.textContent.trim().slice(0, 30) + " runs over the edge of its " + box.tagName.toLowerCase());
        break;
      }
    }
  }
  return found.slice(0, 5);
})()`;

// The size of type as it is printed, in points; a drawing is scaled to its place.
const SMALL = `(() => {
  const found = new Set();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node; (node = walk.nextNode()); ) {
    const parent = node.parentElement, style = getComputedStyle(parent);
    if (!node.textContent.trim() || parent.closest("style,title,desc,.h") || !parent.getClientRects().length) continue;
    const scale = parent instanceof SVGElement ? parent.getScreenCTM().d : 1;
    const points = parseFloat(style.fontSize) * (scale || 1) * 0.75;
    if (points < 8.45 && !parent.closest("[transform]")) found.add(node.textContent.trim().slice(0, 20) + " is set in " + points.toFixed(1) + " pt");
  }
  return [...found].slice(0, 5);
})()`;

// Marks at the beginning and the end of what belongs together on paper, and links to them: the printed page keeps where each
// mark came to stand.
const MARKED = `(() => {
  const together = [];
  // What the paper leaves out comes to stand nowhere.
  const shown = (e) => e.getClientRects().length > 0;
  const mark = () => {
    const m = document.createElement("span");
    m.id = "mark" + document.querySelectorAll("span[id^=mark]").length;
    return m;
  };
  const belong = (what, places) => {
    const ids = places.map(([put, at]) => { const m = mark(); put[at](m); return m.id; });
    together.push([what, ids]);
  };
  for (const a of document.querySelectorAll("article")) {
    const parts = [...a.children].filter((e) => shown(e) && !(e instanceof SVGElement));
    belong((a.querySelector("h1,h2,h3")?.textContent ?? "a drink") + " is cut", parts.flatMap((e) => [[e, "prepend"], [e, "append"]]));
  }
  for (const h of document.querySelectorAll("h2,caption,thead")) {
    const after = h.tagName === "H2" ? h.nextElementSibling : h.closest("table").tBodies[0]?.rows[0]?.cells[0];
    const first = after?.querySelector("h3,li,td,th,p") ?? after;
    const head = h.tagName === "THEAD" ? h.rows[0].cells[0] : h;
    if (first && shown(first) && shown(head) && !(first instanceof SVGElement)) belong(h.textContent.trim().slice(0, 30) + " stands alone at the foot of a page", [[head, "append"], [first, "prepend"]]);
  }
  const links = document.createElement("p");
  links.style.cssText = "position:absolute;top:0;left:0;margin:0;font-size:1px;line-height:1px;color:transparent";
  for (const [, ids] of together) for (const id of ids) {
    const a = document.createElement("a");
    a.href = "#" + id;
    a.textContent = ".";
    links.append(a);
  }
  document.body.append(links);
  return together;
})()`;

// A wider face than that of the page, beside its own style.
const OTHER_FONT = `document.querySelectorAll("style").forEach((s) => { s.textContent += '/**/body,h1,h2,h3,small{font-family:"DejaVu Sans","Verdana",monospace !important}'; })`;
const OWN_FONT = `document.querySelectorAll("style").forEach((s) => { s.textContent = s.textContent.split("/**/body,h1")[0]; })`;

const OVERLAPS = `(() => {
  const found = [];
  for (const map of document.querySelectorAll("svg.map")) {
    if (getComputedStyle(map).display === "none") continue;
    const texts = [...map.querySelectorAll(".halo text")].map((t) => [t.textContent, t.getBoundingClientRect()]);
    texts.forEach(([a, r], i) => {
      for (const [b, s] of texts.slice(i + 1)) {
        // The box of a text has room above and below its letters: a quarter of it may be shared.
        const down = Math.min(r.bottom, s.bottom) - Math.max(r.top, s.top), across = Math.min(r.right, s.right) - Math.max(r.left, s.left);
        if (across > 0.5 && down > 0.25 * Math.min(r.height, s.height)) found.push(a + " upon " + b);
      }
    });
  }
  return found.slice(0, 5);
})()`;

const AXE = `axe.run(document, { resultTypes: ["violations"] }).then((r) => ({
  violations: r.violations.map((v) => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(" | ")),
  rules: r.passes.length,
}))`;

// ---- one page after the other

let address;
let wrong = [];
const say = (what) => wrong.push(what);
on("Network.requestWillBeSent", ({ request }) => {
  if (request.url !== address && !request.url.startsWith(`${address}#`)) say(`it asks for ${request.url}`);
});
on("Log.entryAdded", ({ entry }) => say(`console: ${entry.level}: ${entry.text}`));
on("Runtime.consoleAPICalled", ({ type, args }) => say(`console: ${type}: ${args.map((a) => a.value).join(" ")}`));
on("Runtime.exceptionThrown", ({ exceptionDetails }) => say(`console: ${exceptionDetails.text}`));

// The page has no script: what it is at a width, it is however it came to that width.
const fonts = (text) => ask("Page.setFontSizes", { fontSizes: { standard: (16 * text) / 100, fixed: (13 * text) / 100 } });
const media = (media, scheme) =>
  ask("Emulation.setEmulatedMedia", { media, features: scheme ? [{ name: "prefers-color-scheme", value: scheme }] : [] });

const onAScreen = async (width, where) => {
  await screen(width, 900);
  for (const what of [TOO_WIDE, SPLIT, OVER, OVERLAPS]) {
    for (const found of await evaluate(what)) say(`at ${width} px${where}: ${found}`);
  }
};

const byAxe = async (where) => {
  const { violations, rules } = await evaluate(AXE);
  violations.forEach((v) => say(`axe-core ${where}: ${v}`));
  if (rules < 8) say(`axe-core ${where} found only ${rules} rules to hold`);
};

const shot = async (name) => {
  const { cssContentSize: size } = await ask("Page.getLayoutMetrics");
  const clip = { x: 0, y: 0, width: size.width, height: Math.min(size.height, 12000), scale: 1 };
  const { data } = await ask("Page.captureScreenshot", { captureBeyondViewport: true, clip });
  writeFileSync(join(folder, name), data, "base64");
};

const onPaper = async (name, most) => {
  await media("print");
  await screen(688, 900);
  await ask("Emulation.setScrollbarsHidden", { hidden: true });
  for (const small of await evaluate(SMALL)) say(`on paper: ${small}`);
  await media("");
  const print = async () => Buffer.from((await ask("Page.printToPDF", { preferCSSPageSize: true, printBackground: true })).data, "base64");
  const pdf = await print();
  if (!pdf.subarray(0, 5).equals(Buffer.from("%PDF-"))) say("it does not print to PDF");
  if (folder) writeFileSync(join(folder, `${name}.pdf`), pdf);
  const pages = pdf.toString("latin1").match(/\/Type \/Page\b(?!s)/g)?.length ?? 0;
  if (!pages || pages > most) say(`on paper it takes ${pages} pages`);
  // Where every mark came to stand: its name, and the page.
  await media("print");
  const together = await evaluate(MARKED);
  await media("");
  const marked = (await print()).toString("latin1");
  const leaf = new Map([...marked.matchAll(/\/(mark\d+) \[(\d+) 0 R/g)].map(([, id, at]) => [id, at]));
  const lost = together.flatMap(([, ids]) => ids).filter((id) => !leaf.has(id));
  if (lost.length) say(`on paper ${lost.length} marks are not to be found`);
  const apart = together.filter(([, ids]) => new Set(ids.map((id) => leaf.get(id))).size > 1);
  const cut = apart.filter(([what]) => what.endsWith(" is cut"));
  const alone = apart.filter(([what]) => !what.endsWith(" is cut"));
  for (const [what] of [...cut.slice(0, 3), ...alone.slice(0, 3)]) say(`on paper: ${what}`);
};

// More drinks than that are many.
const MANY = 60;

const look = async (page, most) => {
  const name = basename(page, ".html");
  address = pathToFileURL(resolve(page)).href;
  await media("");
  await ask("Emulation.setScrollbarsHidden", { hidden: false });
  await fonts(100);
  await screen(390, 900);
  await load(address);
  // No script of the page's own is there to need.
  const scripts = await evaluate("document.querySelectorAll('script').length");
  if (scripts) say(`it has ${scripts} scripts`);
  await evaluate(axe);
  // What axe-core asks of a page hangs on its width and its colours: the narrow one by light, the wide one in the dark, where
  // the screen asks for that, with as much contrast.
  await onAScreen(390, "");
  await byAxe("at 390 px");
  if (folder) await shot(`${name}-at-390.png`);
  await onAScreen(1280, "");
  if (folder) await shot(`${name}-at-1280.png`);
  // Colours are those of a sort of words or marks: of a page of very many drinks they were looked at by light already, and
  // those of the dark on pages of fewer.
  if (await evaluate(`document.querySelectorAll("article").length <= ${MANY}`)) {
    await media("", "dark");
    await byAxe("in the dark");
    await media("");
  }
  await fonts(200);
  for (const width of [1280, 390]) await onAScreen(width, ", 200 % text");
  await fonts(100);
  await evaluate(OTHER_FONT);
  for (const width of [390, 1280]) await onAScreen(width, ", another font");
  await evaluate(OWN_FONT);
  await onPaper(name, most);
};

const all = [];
try {
  if (folder) mkdirSync(folder, { recursive: true });
  await open();
  for (const word of words) {
    const [, page, most] = word.match(/^(.*?)(?:=(\d+))?$/);
    wrong = [];
    await look(page, most ? Number(most) : Infinity).catch((error) => say(`it could not be looked at: ${error.message}`));
    all.push(wrong);
  }
} finally {
  await close();
}
console.log(JSON.stringify(all, null, 1));
process.exit(all.some((wrong) => wrong.length) ? 1 : 0);
