// What runs over the edge of its card or of the paper, in headless Chromium: node tests/pages/measure_cards.mjs PAGE.html…
//
// Prints for each page how many cards it has and what runs over, as JSON. Needs Chromium (CHROMIUM names it).
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { close, evaluate, load, open, screen } from "./browser.mjs";

const MEASURE = `(() => {
  const over = [], cards = document.querySelectorAll(".card");
  for (const card of cards) {
    const box = card.getBoundingClientRect();
    if (card.scrollHeight > card.clientHeight + 1 || card.scrollWidth > card.clientWidth + 1) over.push("card " + card.querySelector("h1").textContent.slice(0, 20));
    for (const e of card.querySelectorAll("h1,p,li,td,span,svg")) {
      const r = e.getBoundingClientRect();
      if (r.bottom > box.bottom + 1 || r.right > box.right + 1 || r.left < box.left - 1 || r.top < box.top - 1) over.push(e.tagName + " " + e.textContent.slice(0, 20));
    }
  }
  return { cards: cards.length, over: over.slice(0, 4) };
})()`;

const all = [];
try {
  await open();
  await screen(800, 600);
  for (const page of process.argv.slice(2)) {
    await load(pathToFileURL(resolve(page)).href);
    all.push(await evaluate(MEASURE));
  }
} finally {
  await close();
}
console.log(JSON.stringify(all, null, 1));
process.exit(0);
