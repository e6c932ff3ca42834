// A page in headless Chromium, as a person would have it: node tests/pages/look_at_page.mjs PAGE.html [FOLDER]
//
// Prints what is wrong as JSON, an empty list where nothing is: requests beyond the page itself, words on the
// console, anything wider than the screen and words that are split at 390 and 1280 pixels, at twice the text and in another
// font, labels of the map upon each other as they are drawn, what is cut by an edge of the paper, and what axe-core objects
// to, by light and in the dark. With a FOLDER it leaves
// screenshots and the printed page there.
//
// Needs Chromium (CHROMIUM names it) and axe-core (npm ci in this folder). Speaks to Chromium by its pipe: no port
// is opened and no package is needed for it.
import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [, , page, folder] = process.argv;
if (!page) {
  console.error("expected: node look_at_page.mjs PAGE.html [FOLDER]");
  process.exit(2);
}
const axe = readFileSync(new URL("./node_modules/axe-core/axe.min.js", import.meta.url), "utf8");
const profile = mkdtempSync(join(tmpdir(), "washline-page-"));
const chromium = spawn(
  process.env.CHROMIUM ?? "/usr/bin/chromium",
  ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", `--user-data-dir=${profile}`, "--remote-debugging-pipe", "about:blank"],
  { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] },
);
const wrong = [];
const say = (what) => wrong.push(what);

// ---- the protocol: JSON, a NUL after each message

let next = 0;
const waiting = new Map();
const listeners = new Map();
let rest = "";
chromium.stdio[4].setEncoding("utf8");
chromium.stdio[4].on("data", (chunk) => {
  rest += chunk;
  const messages = rest.split("\0");
  rest = messages.pop();
  for (const text of messages) {
    const message = JSON.parse(text);
    if (message.id === undefined) {
      listeners.get(message.method)?.forEach((listener) => listener(message.params));
    } else {
      const { done, failed } = waiting.get(message.id);
      waiting.delete(message.id);
      message.error ? failed(new Error(message.error.message)) : done(message.result);
    }
  }
});
let session;
const ask = (method, params = {}) =>
  new Promise((done, failed) => {
    const id = ++next;
    waiting.set(id, { done, failed });
    chromium.stdio[3].write(`${JSON.stringify({ id, method, params, sessionId: session })}\0`);
  });
const on = (method, listener) => listeners.set(method, [...(listeners.get(method) ?? []), listener]);
const once = (method) => new Promise((done) => on(method, done));
const evaluate = async (expression) => {
  const { result, exceptionDetails } = await ask("Runtime.evaluate", { expression, awaitPromise: true, returnByValue: true });
  if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
  return result.value;
};

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

const CUT = `[...document.querySelectorAll("article")].filter((a) => getComputedStyle(a).breakInside.startsWith("avoid") && a.getBoundingClientRect().height > 1000).map((a) => a.querySelector("h1,h2,h3")?.textContent + " is higher than a page").slice(0, 5)`;

// A wider face than that of the page.
const OTHER_FONT = `body,h1,h2,h3,small{font-family:"DejaVu Sans","Verdana",monospace !important}`;

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

const AXE = `axe.run(document, { resultTypes: ["violations", "incomplete"] }).then((r) => ({
  violations: r.violations.map((v) => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(" | ")),
  rules: r.passes.length,
}))`;

try {
  const { targetId } = await ask("Target.createTarget", { url: "about:blank" });
  ({ sessionId: session } = await ask("Target.attachToTarget", { targetId, flatten: true }));
  const address = pathToFileURL(resolve(page)).href;
  on("Network.requestWillBeSent", ({ request }) => {
    if (request.url !== address && !request.url.startsWith(`${address}#`)) say(`it asks for ${request.url}`);
  });
  on("Log.entryAdded", ({ entry }) => say(`console: ${entry.level}: ${entry.text}`));
  on("Runtime.consoleAPICalled", ({ type, args }) => say(`console: ${type}: ${args.map((a) => a.value).join(" ")}`));
  on("Runtime.exceptionThrown", ({ exceptionDetails }) => say(`console: ${exceptionDetails.text}`));
  for (const domain of ["Network", "Log", "Runtime", "Page"]) await ask(`${domain}.enable`);
  if (folder) mkdirSync(folder, { recursive: true });
  for (const [width, text, font] of [
    [390, 100, ""], [1280, 100, ""], [390, 200, ""], [1280, 200, ""], [390, 100, OTHER_FONT], [1280, 100, OTHER_FONT],
  ]) {
    const where = `at ${width} px${text === 100 ? "" : `, ${text} % text`}${font && ", another font"}`;
    await ask("Page.setFontSizes", { fontSizes: { standard: (16 * text) / 100, fixed: (13 * text) / 100 } });
    await ask("Emulation.setDeviceMetricsOverride", { width, height: 900, deviceScaleFactor: 1, mobile: false });
    const loaded = once("Page.loadEventFired");
    const { errorText } = await ask("Page.navigate", { url: address });
    if (errorText) throw new Error(errorText);
    await loaded;
    if (font) {
      await evaluate(`document.querySelectorAll("style").forEach((s) => { s.textContent += ${JSON.stringify(font)}; })`);
    }
    for (const over of await evaluate(TOO_WIDE)) say(`${where}: ${over}`);
    for (const split of await evaluate(SPLIT)) say(`${where}: ${split}`);
    for (const over of await evaluate(OVERLAPS)) say(`${where}: ${over}`);
    if (!font) {
      await evaluate(axe);
      const { violations, rules } = await evaluate(AXE);
      violations.forEach((v) => say(`axe-core ${where}: ${v}`));
      if (rules < 8) say(`axe-core ${where} found only ${rules} rules to hold`);
    }
    if (folder && text === 100 && !font) {
      const { cssContentSize: size } = await ask("Page.getLayoutMetrics");
      const clip = { x: 0, y: 0, width: size.width, height: Math.min(size.height, 12000), scale: 1 };
      const shot = await ask("Page.captureScreenshot", { captureBeyondViewport: true, clip });
      writeFileSync(join(folder, `at-${width}.png`), shot.data, "base64");
    }
  }
  // Dark where the screen asks for it, with as much contrast.
  await ask("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value: "dark" }] });
  await evaluate(axe);
  (await evaluate(AXE)).violations.forEach((v) => say(`axe-core in the dark: ${v}`));
  // On paper nothing that may not be cut is higher than a page.
  await ask("Emulation.setEmulatedMedia", { media: "print", features: [] });
  await ask("Emulation.setDeviceMetricsOverride", { width: 688, height: 900, deviceScaleFactor: 1, mobile: false });
  for (const cut of await evaluate(CUT)) say(`on paper: ${cut}`);
  await ask("Emulation.setEmulatedMedia", { media: "", features: [] });
  // No script of the page's own is there to need.
  const scripts = await evaluate("document.querySelectorAll('script').length");
  if (scripts) say(`it has ${scripts} scripts`);
  const paper = await ask("Page.printToPDF", { preferCSSPageSize: true, printBackground: true });
  const pdf = Buffer.from(paper.data, "base64");
  if (!pdf.subarray(0, 5).equals(Buffer.from("%PDF-"))) say("it does not print to PDF");
  if (folder) writeFileSync(join(folder, "page.pdf"), pdf);
} catch (error) {
  say(`it could not be looked at: ${error.message}`);
} finally {
  const closed = new Promise((done) => chromium.on("exit", done));
  session = undefined;
  await Promise.race([ask("Browser.close").then(() => closed), new Promise((done) => setTimeout(done, 5000))]).catch(() => {});
  chromium.kill();
  rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
}
console.log(JSON.stringify(wrong, null, 1));
process.exit(wrong.length ? 1 : 0);
