import { expect } from "@playwright/test";
import { test } from "../demo";
import { beginDraft, field, ladder } from "../keys";

// The cost of editing a program of sixty steps at a quarter of the processor speed: from a key press to the
// frame that shows it, and the pause when a server response is merged. A goal, not a test.

const median = (list: number[]): number => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)] ?? NaN;

test("an edit among sixty steps", async ({ be }) => {
  const page = await be("supervisor");
  await beginDraft(page, "Sixty steps");
  await page.locator("li[data-step] button").click();
  await ladder(page, 40);
  await ladder(page, 19);
  await expect(page.locator("li[data-step]")).toHaveCount(60);
  const opened: number[] = [];
  for (let n = 0; n < 5; n++) {
    const began = Date.now();
    await page.reload();
    opened.push(Date.now() - began);
  }
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await page.evaluate(() => {
    const seen = (from: number, into: string): void => {
      requestAnimationFrame(() =>
        requestAnimationFrame(() => {
          const at = document.documentElement;
          at.dataset[into] = `${at.dataset[into] ?? ""} ${performance.now() - from}`;
        }),
      );
    };
    document.addEventListener("input", (e) => seen(e.timeStamp, "keys"), true);
    const json = Response.prototype.json;
    Response.prototype.json = async function (this: Response) {
      const value: unknown = await json.call(this);
      seen(performance.now(), "answers");
      return value;
    };
  });
  await field(page, ".name").focus();
  const measured = async (name: string): Promise<number[]> =>
    (await page.evaluate((n) => document.documentElement.dataset[n] ?? "", name)).trim().split(" ").filter(Boolean).map(Number);
  for (let n = 1; n <= 5; n++) {
    for (const letter of "cups ") await page.keyboard.press(letter === " " ? "Space" : letter);
    await expect.poll(async () => (await measured("answers")).length, { timeout: 30_000 }).toBeGreaterThanOrEqual(n);
  }
  const ms = (list: number[]): string => `median ${median(list).toFixed(1)} ms of ${list.length}, at most ${Math.max(...list).toFixed(1)}`;
  console.log(`open or load again, not slowed down: ${ms(opened)}`);
  console.log(`a key to its picture at 4×: ${ms(await measured("keys"))}`);
  console.log(`an answer to its picture at 4×: ${ms(await measured("answers"))}`);
});
