// The pages' own part of what a maker waits for, in a real browser: `cargo xtask bench studio` runs it with the address of a
// server that has a large job open. From the pointer going up to the frame after the new path data is in the page, the write to the
// disk included; frames while the panel is moved and brought nearer.

import { existsSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { chromium } from "playwright-core";

const CHROMIUM = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
const MERGES = 40;
const DRAFTS = 21;
const FRAMES = 90;

const path = process.env.SPELK_CHROMIUM ?? CHROMIUM.find((each) => existsSync(each));
const browser = await chromium.launch({ executablePath: path, args: ["--no-sandbox"] });
try {
  await measured(await browser.newPage({ viewport: { width: 1280, height: 800 } }), process.argv[2]);
} finally {
  await browser.close();
}

async function measured(page, address) {
  let script = 0;
  page.on("response", async (response) => {
    if (response.request().resourceType() !== "script") return;
    script += gzipSync(await response.body().catch(() => "")).length;
  });
  await page.goto(address);
  await page.waitForSelector("[data-area].piece");
  await page.waitForLoadState("networkidle", { timeout: 3000 }).catch(() => undefined);
  console.log(`  in the browser: ${(script / 1000).toFixed(1)} kB of script, gzip`);
  await page.evaluate(watchFrames);
  await merges(page);
  await frames(page);
  await drafts(page);
}

/** In the page: when the hand last let go, and when the first frame after the next change of the drawing was painted. */
function watchFrames() {
  window.bench = { from: 0, to: 0 };
  const start = () => {
    window.bench = { from: performance.now(), to: 0 };
  };
  addEventListener("pointerup", start, { capture: true });
  addEventListener("input", start, { capture: true });
  const painted = () => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => {
      if (window.bench.to === 0) window.bench.to = performance.now();
    };
    // The task after a frame's callbacks runs once the frame is made.
    requestAnimationFrame(() => channel.port2.postMessage(0));
  };
  const drawn = (change) =>
    (change.target.closest?.(".sheet") && !change.target.closest(".picked, .signs")) ?? false;
  new MutationObserver((changes) => {
    if (changes.some(drawn)) painted();
  }).observe(document.body, {
    subtree: true,
    childList: true,
    attributes: true,
    attributeFilter: ["d"],
  });
}

/** Milliseconds from the hand's last act to the frame. */
async function waited(page) {
  const done = () => window.bench.to > 0 && window.bench.to - window.bench.from;
  return (await page.waitForFunction(done, undefined, { timeout: 30_000 })).jsonValue();
}

async function merges(page) {
  const pairs = await page.evaluate(async (most) => {
    const seen = await (await fetch("/api/seen")).json();
    const pieces = new Map(
      seen.areas.filter((area) => area.becomes === "piece").map((area) => [area.id, area]),
    );
    const found = seen.borders.filter((border) => pieces.has(border.left) && pieces.has(border.right));
    const step = Math.max(1, Math.floor(found.length / most));
    return found.filter((_, at) => at % step === 0).map((border) => [border.left, border.right]);
  }, MERGES);
  const merge = page.getByRole("button", { name: "Merge", exact: true });
  const times = [];
  for (const [one, other] of pairs.slice(0, MERGES)) {
    if (!(await pick(page, one, [])) || !(await pick(page, other, ["Shift"]))) continue;
    if (!(await merge.isEnabled())) continue;
    await merge.click();
    times.push(await waited(page));
    await page.getByRole("button", { name: /^Undo: merge/ }).click();
    await waited(page);
    await page.waitForTimeout(150);
  }
  tell("merge, pointer up to frame", times);
}

async function pick(page, id, keys) {
  const at = await page.evaluate((id) => {
    const path = document.querySelector(`[data-area="${id}"]`);
    const box = path?.getBoundingClientRect();
    if (!box) return null;
    // Some point that is the piece's own.
    for (let row = 1; row < 8; row += 1)
      for (let column = 1; column < 8; column += 1) {
        const [x, y] = [box.left + (box.width * column) / 8, box.top + (box.height * row) / 8];
        if (document.elementFromPoint(x, y) === path) return { x, y };
      }
    return null;
  }, id);
  if (at === null) return false;
  for (const key of keys) await page.keyboard.down(key);
  await page.mouse.click(at.x, at.y);
  for (const key of keys) await page.keyboard.up(key);
  return true;
}

/** Intervals between frames while something moves; an idle page draws as often as the screen, here 60 times a second. */
async function frames(page) {
  const box = await page.locator(".sheet").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const counted = async (move) => {
    const counting = page.evaluate(
      (most) =>
        new Promise((done) => {
          const times = [];
          const frame = (now) => {
            times.push(now);
            if (times.length > most) done(times.slice(1).map((time, at) => time - times[at]));
            else requestAnimationFrame(frame);
          };
          requestAnimationFrame(frame);
        }),
      FRAMES,
    );
    let over = false;
    counting.then(() => {
      over = true;
    });
    for (let at = 0; !over; at += 1) await move(at);
    return counting;
  };
  tell("frame at rest", await counted(() => page.waitForTimeout(10)));
  await page.mouse.move(x, y);
  tell(
    "frame while brought nearer and back",
    await counted((at) => page.mouse.wheel(0, at % 20 < 10 ? -60 : 60)),
  );
  await page.mouse.down();
  tell(
    "frame while moved",
    await counted((at) => page.mouse.move(x + 90 * Math.sin(at / 7), y + 60 * Math.cos(at / 7))),
  );
  await page.mouse.up();
}

async function drafts(page) {
  const slider = page.getByRole("slider", { name: "About how many pieces" });
  await slider.fill("200");
  await waited(page);
  const times = [];
  for (let at = 0; at < DRAFTS; at += 1) {
    await slider.press(at % 2 === 0 ? "ArrowRight" : "ArrowLeft");
    times.push(await waited(page));
  }
  tell("draft of about 200, slider to frame", times);
}

function tell(what, times) {
  times.sort((a, b) => a - b);
  const high = times[Math.min(times.length - 1, Math.floor(0.95 * times.length))];
  const middle = times[Math.floor(times.length / 2)];
  console.log(
    `  ${what}: median ${middle?.toFixed(0)} ms, 95th percentile ${high?.toFixed(0)} ms, of ${times.length}`,
  );
}
