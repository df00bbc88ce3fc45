import { expect, type Page } from "@playwright/test";
import { test, type Demo } from "../demo";
import { Handset } from "../handset";
import { sessions } from "../kept";
import { Line } from "../line";

// The shadow log: what the screen confirmed, written down outside of the browser. At the end everything in it must be
// on the server, once.

const rounds = Number(process.env["SOAK_ROUNDS"] ?? 500);
const seed = Number(process.env["SOAK_SEED"] ?? Date.now() % 1_000_000);

/** Numbers that can be had again (mulberry32, recalled). */
function dice(from: number): () => number {
  let a = from >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

async function enter(page: Page, demo: Demo, line: Line): Promise<void> {
  await page.goto(demo.door("caregiver").replace(demo.server.url, line.url));
  await page.getByRole("button", { name: /^Go in as/ }).click();
  await page.locator(".day").first().waitFor();
}

/** Taps into a session, an open one if there is one, and notes each confirmation. */
async function record(page: Page, line: Line, random: () => number, shadow: Map<string, number>): Promise<void> {
  await page.goto(line.url + "/today");
  await page.locator('.next a[href^="/record/"]').first().click();
  await page.locator("[data-before] button[type=submit]").waitFor();
  const resume = page.locator("[data-resume]");
  await (await resume.isVisible() ? resume : page.locator("[data-before] button[type=submit]")).click();
  await page.locator('[data-part="rail"]').waitFor();
  const answers = ["alone", "help", "not_yet", "no_response"];
  for (let taps = Math.floor(random() * 6); taps > 0 && (await page.locator('[data-part="rail"]').isVisible()); taps--) {
    const before = await page.locator("#said").textContent();
    await page.locator(`[data-part="rail"] [data-answer="${answers[Math.floor(random() * answers.length)]}"]`).last().click();
    await expect(page.locator("#said")).not.toHaveText(before ?? "");
    const n = Number(/Kept\. (\d+) of/.exec((await page.locator("#said").textContent()) ?? "")?.[1] ?? 0);
    const open = (await sessions(page)).filter((k) => !k.doc.closing).pop();
    if (open) shadow.set(open.id, Math.max(shadow.get(open.id) ?? 0, n));
  }
  if ((await page.locator("[data-finish]").isVisible()) && random() < 0.8) await page.locator("[data-finish]").click();
}

test(`${rounds} kills and cuts, seed ${seed}`, async ({ demo }) => {
  const line = await Line.to(demo.server.url);
  const handset = await Handset.made();
  const random = dice(seed);
  const shadow = new Map<string, number>();
  try {
    let page = await handset.page();
    await enter(page, demo, line);
    await page.evaluate(async () => void (await navigator.serviceWorker.ready));
    for (let round = 0; round < rounds; round++) {
      const what = random();
      if (what < 0.25) line.down();
      else if (what < 0.35) line.swallow = true;
      await record(page, line, random, shadow).catch((error: unknown) => {
        throw new Error(`round ${round}, seed ${seed}: ${String(error)}`);
      });
      if (random() < 0.5) {
        await handset.kill();
        await handset.on();
        page = await handset.page();
      }
      line.up();
      line.swallow = false;
      if (random() < 0.2) await enter(page, demo, line); // the cookie may have died with the browser
      if (round % 25 === 0) console.log(`round ${round}: ${shadow.size} sessions`);
    }
    await enter(page, demo, line);
    const all = await sessions(page);
    const ids = new Set(all.map((k) => k.id));
    expect(ids.size).toBe(all.length);
    for (const [id, n] of shadow) {
      const k = all.find((x) => x.id === id);
      expect(k?.doc.trials.length ?? 0, `session ${id} of seed ${seed}`).toBeGreaterThanOrEqual(n);
    }
    await expect.poll(async () => (await sessions(page)).filter((k) => k.doc.closing && !k.receipt).length, { timeout: 120_000 }).toBe(0);
    for (const k of (await sessions(page)).filter((x) => x.doc.closing)) {
      const asked = `/phone/receipts?id=${k.id}.${k.receipt?.sha256 ?? ""}`;
      const [answer] = await page.evaluate((u) => fetch(u).then((r) => r.json() as Promise<{ receipts: { stored: boolean; closed: boolean }[] }>), asked).then((r) => r.receipts);
      expect(answer, k.id).toMatchObject({ stored: true, closed: true });
    }
    console.log(`${shadow.size} sessions, all confirmed taps accounted for`);
  } finally {
    await handset.end();
    await line.close();
  }
});
