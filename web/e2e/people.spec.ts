import { readFileSync } from "node:fs";
import { chromium, expect, type Page } from "@playwright/test";
import { account, everythingKept, sessions, stored } from "./kept";
import { chromiumQuick } from "./paths";
import { begin, enter, finish, session, tap, test, toTheEnd, workerReady } from "./phone";

// Several people on one phone, and sessions that leave it in other ways.

/** The page about this phone. */
async function thisPhone(page: Page): Promise<void> {
  await page.goto("/today");
  await page.getByRole("link", { name: "This phone" }).click();
  await expect(page.locator('.fold a[href$="#pin"]')).toBeVisible();
}

async function setPIN(page: Page, pin: string): Promise<void> {
  await thisPhone(page);
  await page.locator('.fold a[href$="#pin"]').click();
  await page.locator('[data-pin] input[name="pin"]').fill(pin);
  await page.getByRole("button", { name: "Set the PIN" }).click();
  await expect(page.locator("[data-pin-said]")).toHaveText("Your PIN is set.");
  await expect(page.locator("[data-pin-said]")).not.toHaveClass(/attention/);
  await page.getByRole("link", { name: "Back" }).click();
  await expect(page.locator('.fold a[href$="#pin"]')).toBeVisible();
}

const unlock = async (page: Page, pin: string): Promise<void> => {
  await page.locator("[data-unlock] input[name=pin]").fill(pin);
  await page.getByRole("button", { name: "Unlock" }).click();
};

const sealedStored = async (page: Page): Promise<boolean[]> => (await stored<{ storedAt?: number }>(page, "newel-sealed", "sealed")).map((s) => s.storedAt !== undefined);

test("F21, F25: signing out without network seals what waits; nothing readable is left; no one else can enter", async ({ hand: page, line, shadow }) => {
  await workerReady(page);
  const child = (await page.locator(".day h1").first().textContent()) ?? "";
  const id = await account(page);
  expect(child.length).toBeGreaterThan(1);
  expect(await everythingKept(page)).toContain(child); // the search finds what is there
  line.down();
  await session(page, shadow);
  await page.getByRole("link", { name: "Done for now" }).click();
  await page.getByRole("link", { name: "This phone" }).click();
  await page.getByRole("link", { name: "Sign out of this phone" }).click();
  await expect(page.getByText("1 session is not saved at your clinic yet.")).toBeVisible();
  await page.getByRole("button", { name: "Sign out without a PIN" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect.poll(() => sealedStored(page)).toEqual([false]);
  await expect(page.getByText("1 session from another person is waiting")).toBeVisible();
  const kept = await everythingKept(page);
  for (const secret of [child, "Which cup", "Washing hands", '\\"trials\\":[']) expect(kept.includes(secret), secret).toBe(false);
  expect(kept).not.toContain("newel-" + id + "\n");
  // Cached pages refuse, even after a restart.
  await page.reload();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  // At the next contact the server is told before anything else is shown.
  line.up();
  const told = page.waitForResponse("**/phone/lock");
  await page.reload();
  expect((await told).status()).toBe(200);
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  expect(await page.evaluate(() => fetch("/phone/day").then((r) => r.status))).toBe(401);
});

test("F23: two people on one phone. The second sees a count; the first one's session is sent when she is back", async ({ hand: page, demo, line, shadow }) => {
  const first = await account(page);
  await workerReady(page);
  line.down();
  await session(page, shadow);
  // Someone else signs in before anything was sent.
  line.refuse = /^PUT \/recordings/;
  line.up();
  await enter(page, demo, line, "lubna");
  await expect.poll(() => account(page)).not.toBe(first);
  await expect(page.locator("#outbox")).toContainText("from another person is waiting on this phone");
  expect((await stored(page, "newel-" + first, "recordings")).length).toBe(0);
  const child = (await page.locator(".day h1").first().textContent()) ?? "";
  line.refuse = undefined;
  await session(page, shadow); // her own is sent, and nothing of the other person's
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  expect(await sealedStored(page)).toEqual([false]);
  await enter(page, demo, line, "caregiver");
  await expect.poll(() => sealedStored(page).then((all) => all.length > 0 && all.every(Boolean))).toBe(true);
  await expect(page.locator(".day h1").first()).not.toHaveText(child);
});

test("coming back by PIN: a wrong one is counted; the right one opens the person's own pages and sends what waited", async ({ hand: page, demo, line, shadow }) => {
  const first = await account(page);
  await setPIN(page, "4711");
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  await thisPhone(page);
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect.poll(() => sealedStored(page)).toEqual([false]);
  line.refuse = undefined;
  await unlock(page, "0000");
  await expect(page.locator("[data-lock-said]")).toContainText("That was not the PIN. You can try 4 more times.");
  await expect(page.locator(".day")).toHaveCount(0);
  // The server delays after a wrong guess, even for a typing error.
  const wait = Number(/Wait (\d+)/.exec((await page.locator("[data-lock-said]").textContent()) ?? "")?.[1] ?? 0);
  await expect(async () => {
    if (!(await page.locator(".day").first().isVisible())) await unlock(page, "4711");
    await expect(page.locator(".day").first()).toBeVisible({ timeout: 1000 });
  }).toPass({ timeout: (wait + 15) * 1000, intervals: [1000] });
  expect(await account(page)).toBe(first);
  await expect.poll(() => sealedStored(page)).toEqual([true]);
  // Someone else signs in in between; then back by PIN again.
  await thisPhone(page);
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await enter(page, demo, line, "lubna");
  expect(await account(page)).not.toBe(first);
  await thisPhone(page);
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  await page.getByRole("button", { name: "Sign out without a PIN" }).click(); // she has none
  await unlock(page, "4711");
  await expect(page.locator(".day").first()).toBeVisible();
  expect(await account(page)).toBe(first);
});

test("F14, F21: locked in one tab, a session open in another. Both go blank, and what was confirmed is sent when its author is back", async ({ hand: page, line, shadow }) => {
  await workerReady(page);
  const child = (await page.locator(".day h1").first().textContent()) ?? "";
  const id = await account(page);
  await setPIN(page, "4711");
  line.refuse = /^PUT \/recordings/;
  const other = await page.context().newPage();
  await begin(other);
  await tap(other, shadow);
  await tap(other, shadow, "not_yet");
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  for (const tab of [page, other]) await expect(tab.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect(other.locator('[data-part="rail"]')).toHaveCount(0);
  await expect.poll(() => sealedStored(page)).toEqual([false]);
  await page.reload(); // whatever the other tab was still doing is finished now
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect.poll(() => everythingKept(page)).not.toContain("newel-" + id + "\n");
  expect(await everythingKept(page)).not.toContain(child);
  line.refuse = undefined;
  await unlock(page, "4711");
  await expect(page.locator(".day").first()).toBeVisible();
  await expect.poll(() => sealedStored(page)).toEqual([true]);
});

test("F8, F23: a store that cannot be opened when someone else signs in keeps its contents", async ({ hand: page, demo, line, shadow }) => {
  const first = await account(page);
  await workerReady(page);
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  await page.addInitScript((name) => {
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (...args: Parameters<typeof open>) {
      if (args[0] === name && sessionStorage.getItem("stuck")) throw new DOMException("Internal error opening backing store", "UnknownError");
      return open.apply(this, args);
    };
  }, "newel-" + first);
  await page.evaluate(() => sessionStorage.setItem("stuck", "1"));
  await enter(page, demo, line, "lubna");
  await expect.poll(() => account(page)).not.toBe(first);
  await enter(page, demo, line, "sami"); // the last person to leave is remembered as well as the first
  await page.evaluate(() => sessionStorage.removeItem("stuck"));
  // Now it opens again: what was left is sealed at the next start, and sent when she is back.
  await page.reload();
  await expect.poll(() => sealedStored(page)).toEqual([false]);
  line.refuse = undefined;
  await enter(page, demo, line, "caregiver");
  await expect.poll(() => sealedStored(page)).toEqual([true]);
});

test("a rescue file is accepted from another phone once, and the first phone's own upload changes nothing", async ({ hand: page, demo, line, shadow, another }, info) => {
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  await begin(page);
  await tap(page, shadow, "not_yet");
  const open = page.url();
  await thisPhone(page);
  const saving = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save everything as a file" }).click();
  const file = info.outputPath("rescue.json");
  await (await saving).saveAs(file);
  const text = readFileSync(file, "utf8");
  for (const secret of ["trials", "correct", "Which cup"]) expect(text).not.toContain(secret);
  const ids = (await sessions(page)).map((k) => k.id);
  expect((JSON.parse(text) as { sealed: { id: string }[] }).sealed.map((s) => s.id).sort()).toEqual([...ids].sort());

  const { page: other } = await another();
  await enter(other, demo, line, "caregiver");
  for (let time = 0; time < 2; time++) {
    await thisPhone(other);
    await other.locator('.fold a[href$="#saved-file"]').click();
    // (The file is set without a touch, so an update may still arrive and redraw the page.)
    await expect(async () => {
      await other.locator('[data-rescue-in] input[type="file"]').setInputFiles(file);
      await other.getByRole("button", { name: "Send this file" }).click();
      await expect(other.locator("[data-rescue-said] li")).toHaveCount(ids.length, { timeout: 4000 });
    }).toPass();
    for (const li of await other.locator("[data-rescue-said] li").all()) await expect(li).toHaveText("Saved at your clinic.");
  }

  line.refuse = undefined;
  await page.goto("/today");
  await expect.poll(async () => (await sessions(page)).filter((k) => k.doc.closing).every((k) => k.receipt)).toBe(true);
  await page.goto(open);
  await page.locator("[data-resume]").click();
  await toTheEnd(page, shadow);
  await finish(page);
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("signed out for good: no PIN brings anyone back", async ({ hand: page }) => {
  await setPIN(page, "4711");
  await page.goto("/leave");
  const told = page.waitForResponse("**/phone/lock");
  await page.getByRole("button", { name: /^Sign out for good/ }).click();
  expect((await told).status()).toBe(200);
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  const asked = page.waitForResponse("**/phone/accounts");
  await page.reload();
  await asked;
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect(page.locator("[data-unlock]")).toBeHidden();
  expect(await page.evaluate(() => fetch("/phone/day").then((r) => r.status))).toBe(401);
});

test("without https: the page says so and records, and no one can sign out before everything is sent", async ({ demo, line, shadow }) => {
  const browser = await chromium.launch({ executablePath: chromiumQuick, args: ["--no-sandbox", "--disable-gpu", "--host-resolver-rules=MAP clinic.example 127.0.0.1"] });
  try {
    const url = line.url.replace("localhost", "clinic.example");
    const page = await browser.newPage({ baseURL: url, viewport: { width: 320, height: 568 }, locale: "en-GB" });
    await enter(page, demo, { url }, "caregiver");
    expect(await page.evaluate(() => isSecureContext)).toBe(false);
    await expect(page.getByText("This address is not secure (no https).")).toBeVisible();
    line.refuse = /^PUT \/recordings/;
    await session(page, shadow);
    await page.goto("/leave");
    await expect(page.getByText("No one can sign out yet.")).toBeVisible();
    await expect(page.getByRole("button", { name: /^Sign out/ })).toHaveCount(0);
    line.refuse = undefined;
    await page.goto("/today");
    await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  } finally {
    await browser.close();
  }
});
