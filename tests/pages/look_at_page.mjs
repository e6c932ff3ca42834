// A page in headless Chromium, as a person would have it: node tests/pages/look_at_page.mjs PAGE.html [FOLDER]
//
// Prints what is wrong as JSON, an empty list where nothing is: requests beyond the page itself, words on the
// console, anything wider than the screen at 360 and 1440 pixels, labels of the map upon each other as they are
// drawn, a picture cut by an edge of the paper, and what axe-core objects to. With a FOLDER it leaves
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
  for (const width of [360, 1440]) {
    await ask("Emulation.setDeviceMetricsOverride", { width, height: 900, deviceScaleFactor: 1, mobile: false });
    const loaded = once("Page.loadEventFired");
    const { errorText } = await ask("Page.navigate", { url: address });
    if (errorText) throw new Error(errorText);
    await loaded;
    for (const over of await evaluate(TOO_WIDE)) say(`at ${width} px: ${over}`);
    for (const over of await evaluate(OVERLAPS)) say(`at ${width} px: ${over}`);
    await evaluate(axe);
    const { violations, rules } = await evaluate(AXE);
    violations.forEach((v) => say(`axe-core at ${width} px: ${v}`));
    if (rules < 10) say(`axe-core at ${width} px found only ${rules} rules to hold`);
    if (folder) {
      const { cssContentSize: size } = await ask("Page.getLayoutMetrics");
      const clip = { x: 0, y: 0, width: size.width, height: Math.min(size.height, 12000), scale: 1 };
      const shot = await ask("Page.captureScreenshot", { captureBeyondViewport: true, clip });
      writeFileSync(join(folder, `at-${width}.png`), shot.data, "base64");
    }
  }
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
