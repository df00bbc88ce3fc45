import { expect, type Page } from "@playwright/test";
import { account, stored } from "./kept";
import { begin, enter, tap, test, workerReady } from "./phone";
import { openSession } from "./shadow";
import { shot } from "./shot";
import { unconditional } from "./unconditional";

// Hands: left hands, small hands, and the card that only one player may see.

const middle = async (page: Page, selector: string): Promise<number> => {
  const box = await page.locator(selector).first().boundingBox();
  return (box?.x ?? 0) + (box?.width ?? 0) / 2;
};

test("the recorder is mirrored for a left hand, and stays so", async ({ hand: page, shadow }) => {
  await begin(page);
  const parts = ['[data-part="rail"] [data-stop]', '[data-part="rail"] [data-undo]', ".rail", '[data-part="rail"] [data-answer="not_yet"]'];
  const right: number[] = [];
  for (const part of parts) right.push(await middle(page, part));
  await page.goto("/today#hand");
  await page.getByRole("radio", { name: "left" }).check();
  await expect(page.getByRole("radio", { name: "left" })).toBeChecked();
  await expect.poll(async () => (await stored<{ hand?: string }>(page, "newel-phone", "notes")).map((n) => n.hand)).toEqual(["start"]);
  await page.goto("/today");
  await begin(page);
  const left: number[] = [];
  for (const part of parts) left.push(await middle(page, part));
  const width = await page.evaluate(() => document.documentElement.clientWidth);
  left.forEach((x, i) => expect(x, parts[i]).toBeCloseTo(width - right[i]!, -1));
  await tap(page, shadow);
});

test("the cover: a small hand records nothing, holding removes it, and stop works through it", async ({ hand: page, shadow }) => {
  await begin(page);
  await tap(page, shadow);
  const alone = await page.locator('[data-part="rail"] [data-answer="alone"]').boundingBox();
  const cover = async (): Promise<void> => {
    await page.locator('[data-part="rail"] [data-written]').click();
    await page.locator("[data-cover]").click();
  };
  await cover();
  await expect(page.locator("[data-cover-sheet]")).toBeVisible();
  for (let n = 0; n < 3; n++) await page.mouse.click(alone!.x + alone!.width / 2, alone!.y + 5 + (n * alone!.height) / 4);
  const hold = await page.locator("[data-uncover]").boundingBox();
  await page.mouse.click(hold!.x + hold!.width / 2, hold!.y + hold!.height / 2); // too short
  await expect(page.locator("[data-cover-sheet]")).toBeVisible();
  expect((await openSession(page))?.doc.trials.length).toBe(1);
  await page.mouse.move(hold!.x + hold!.width / 2, hold!.y + hold!.height / 2);
  await page.mouse.down();
  await expect(page.locator("[data-cover-sheet]")).toBeHidden();
  await page.mouse.up();
  expect(await tap(page, shadow)).toBe(2);
  await cover();
  await page.locator("[data-cover-sheet] [data-stop]").click();
  await expect(page.getByRole("heading", { name: "Stopped." })).toBeVisible();
  await page.locator("[data-unstop]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
});

test("the held card is seen only while it is held", async ({ another, demo, line, shadow }) => {
  const { page } = await another({ serviceWorkers: "block" }); // a made-up response, which a worker would hide
  // The demo has no program whose card only one player may see, so its kits are changed in transit.
  await page.route("**/phone/day", async (route) => {
    const answer = await unconditional(route);
    if (!answer.ok()) return route.fulfill({ response: answer });
    const day = (await answer.json()) as { kits: { kit: { held?: boolean; targets: unknown[] } }[] };
    for (const { kit } of day.kits) {
      kit.held = true;
      kit.targets = [{ key: "a", name: "Marble", card: "Marble" }, { key: "b", name: "Pebble", card: "Pebble" }];
    }
    await route.fulfill({ response: answer, body: JSON.stringify(day) });
  });
  await enter(page, demo, line, "caregiver");
  await begin(page);
  const card = page.locator("[data-press-card]");
  const hold = page.locator("[data-press]");
  await expect(hold).toBeVisible();
  await expect(card).toBeHidden();
  await expect(page.locator('[data-part="rail"] [data-card]')).toBeHidden();
  const box = (await hold.boundingBox())!;
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await expect(card).toBeVisible();
  await expect(card).toContainText(/Marble|Pebble/);
  await page.mouse.up();
  await expect(card).toBeHidden();
  await hold.focus();
  await page.keyboard.down("Space");
  await expect(card).toBeVisible();
  await page.keyboard.up("Space");
  await expect(card).toBeHidden();
  await tap(page, shadow);
  await expect(card).toBeHidden();
});

test("the picture of what is next is on the card, even without signal, and is deleted when its account leaves", async ({ another, demo, line, shadow }, info) => {
  const { page } = await another();
  await enter(page, demo, line, "orla");
  await workerReady(page);
  await expect.poll(async () => (await stored(page, "newel-" + (await account(page)), "pictures")).length).toBe(8);
  line.down();
  await page.goto("/today");
  const bag = page.locator(".day").filter({ hasText: "swimming bag" }).first();
  await bag.locator('a[href^="/record/"]').first().click();
  await page.locator("[data-before] button[type=submit]").click();
  const card = page.locator("[data-card] img:visible");
  await expect(card).toHaveAttribute("alt", "a swimming bag");
  expect(await card.evaluate((img: HTMLImageElement) => img.complete && img.naturalWidth)).toBe(480);
  expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  await shot(page, info, "picture-on-card");
  await tap(page, shadow);
  await expect(card).toHaveAttribute("alt", "swimming shorts");
  await page.goto("/leave");
  await page.getByRole("button", { name: "Sign out without a PIN" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  expect((await page.evaluate(() => indexedDB.databases())).map((d) => d.name).sort()).toEqual(["newel-phone", "newel-sealed", "newel-vault"]);
});
