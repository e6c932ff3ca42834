// Chromium without a window and one page of it, spoken to by its pipe: no port is opened and no package is needed for it.
// CHROMIUM names it.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const profile = mkdtempSync(join(tmpdir(), "washline-page-"));
const chromium = spawn(
  process.env.CHROMIUM ?? "/usr/bin/chromium",
  ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", `--user-data-dir=${profile}`, "--remote-debugging-pipe", "about:blank"],
  { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] },
);
const closed = new Promise((done) => chromium.on("exit", done));

// JSON, a NUL after each message.
let next = 0;
const waiting = new Map();
const listeners = new Map();
let rest = "";
let session;
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
// Who waits for a browser that is gone is told.
closed.then(() => waiting.forEach(({ failed }) => failed(new Error("Chromium is gone"))));

export const ask = (method, params = {}) =>
  new Promise((done, failed) => {
    const id = ++next;
    waiting.set(id, { done, failed });
    chromium.stdio[3].write(`${JSON.stringify({ id, method, params, sessionId: session })}\0`);
  });

export const on = (method, listener) => listeners.set(method, [...(listeners.get(method) ?? []), listener]);

export const evaluate = async (expression) => {
  const { result, exceptionDetails } = await ask("Runtime.evaluate", { expression, awaitPromise: true, returnByValue: true });
  if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
  return result.value;
};

export const open = async () => {
  const { targetId } = await ask("Target.createTarget", { url: "about:blank" });
  ({ sessionId: session } = await ask("Target.attachToTarget", { targetId, flatten: true }));
  for (const domain of ["Network", "Log", "Runtime", "Page"]) await ask(`${domain}.enable`);
  on("Page.loadEventFired", () => loaded?.());
};

let loaded;
export const load = async (url) => {
  const whole = new Promise((done) => { loaded = done; });
  const { errorText } = await ask("Page.navigate", { url });
  if (errorText) throw new Error(errorText);
  await whole;
};

export const screen = (width, height) =>
  ask("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 1, mobile: false });

export const close = async () => {
  session = undefined;
  const asked = ask("Browser.close").then(() => closed);
  await Promise.race([asked, new Promise((done) => setTimeout(done, 5000))]).catch(() => {});
  chromium.kill();
  rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
};
