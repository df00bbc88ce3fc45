import { expect, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { account, everythingKept, sessions, stored } from "./kept";
import { begin, enter, session, tap, test, workerReady } from "./phone";
import { shot } from "./shot";

// Locking, and unlocking by PIN without signal. The numbers are those of the table in docs/phone-faults.md.

const PIN = "4711";

async function thisPhone(page: Page): Promise<void> {
  await page.goto("/today");
  await page.getByRole("link", { name: "This phone" }).click();
  await expect(page.locator('.fold a[href$="#pin"]')).toBeVisible();
}

async function setPIN(page: Page, pin = PIN): Promise<void> {
  await thisPhone(page);
  await page.locator('.fold a[href$="#pin"]').click();
  await page.locator('[data-pin] input[name="pin"]').fill(pin);
  await page.getByRole("button", { name: "Set the PIN" }).click();
  await expect(page.locator("[data-pin-said]")).toHaveText("Your PIN is set.");
}

async function lock(page: Page): Promise<void> {
  await thisPhone(page);
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
}

async function unlock(page: Page, pin: string): Promise<void> {
  await page.locator("[data-unlock] input[name=pin]").fill(pin);
  await page.getByRole("button", { name: "Unlock" }).click();
}

const said = (page: Page) => page.locator("[data-lock-said]");
const today = (page: Page) => page.locator(".day").first();
const held = async (page: Page): Promise<boolean[]> => (await stored<{ held?: unknown }>(page, "newel-vault", "vaults")).map((v) => v.held !== undefined);

/** Lets the phone's clock be put forward, across reloads of the page. */
async function clock(page: Page): Promise<(ms: number) => Promise<void>> {
  await page.addInitScript(() => {
    const now = Date.now.bind(Date);
    Date.now = () => now() + Number(sessionStorage.getItem("ahead") ?? "0");
  });
  return (ms) => page.evaluate((by) => sessionStorage.setItem("ahead", String(Number(sessionStorage.getItem("ahead") ?? "0") + by)), ms);
}

test("F55: locked and unlocked by PIN without signal. Nothing is readable in between, and everything is sent later", async ({ hand: page, line, shadow }, info) => {
  await workerReady(page);
  await setPIN(page);
  const child = (await page.goto("/today"), await today(page).locator("h1").textContent()) ?? "";
  line.down();
  await lock(page);
  await expect.poll(() => held(page)).toEqual([true]);
  const kept = await everythingKept(page);
  for (const secret of [child, "Which cup", "Washing hands", PIN]) expect(kept.includes(secret), secret).toBe(false);
  await page.reload();
  await expect(said(page)).toHaveText("You are offline. You can unlock with your PIN.");
  for (const scheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme: scheme });
    await shot(page, info, `offline-locked-${scheme}`);
  }
  await page.emulateMedia({ colorScheme: "light" });
  await expectAccessible(page);
  await unlock(page, PIN);
  await expect(today(page).locator("h1")).toHaveText(child);
  await session(page, shadow);
  line.up();
  await page.evaluate(() => window.dispatchEvent(new Event("online")));
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("F55: locked with signal, unlocked without. The server asks for the PIN once before it accepts anything", async ({ hand: page, line, shadow }, info) => {
  await workerReady(page);
  await setPIN(page);
  const told = page.waitForResponse("**/phone/lock");
  await lock(page);
  expect((await told).status()).toBe(200);
  await expect.poll(() => held(page)).toEqual([true]);
  line.down();
  await page.reload();
  await unlock(page, PIN);
  await expect(today(page)).toBeVisible();
  await session(page, shadow);
  // The page is opened again, so it does not know the PIN any more; no store may have it.
  await page.goto("/today");
  await expect(today(page)).toBeVisible();
  expect(await everythingKept(page)).not.toContain(PIN);
  line.up();
  await page.reload();
  const form = page.locator("[data-return]");
  await expect(form).toContainText("Enter your PIN once more");
  await expect(today(page)).toBeVisible(); // what is known stays
  await expectAccessible(page);
  await shot(page, info, "offline-pin-due");
  await form.locator("input").fill("0000");
  await form.getByRole("button").click();
  await expect(form).toContainText("That was not the PIN.");
  await form.locator("input").fill(PIN);
  await form.getByRole("button").click();
  await expect(form).toHaveCount(0);
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("F56: wrong PINs without signal are counted, also across restarts, and five end it until there is signal", async ({ hand: page, line }) => {
  const ahead = await clock(page);
  await workerReady(page);
  await setPIN(page);
  line.down();
  await lock(page);
  await expect.poll(() => held(page)).toEqual([true]);
  await page.reload();
  await unlock(page, "0000");
  await expect(said(page)).toHaveText("That was not the PIN. You can try 4 more times.");
  await page.reload();
  await unlock(page, "0000");
  await expect(said(page)).toContainText("You can try 3 more times. Wait 5 seconds");
  // Not even the right one is looked at before the wait is over.
  await page.reload();
  await unlock(page, PIN);
  await expect(said(page)).toContainText(/^Wait \d seconds?, then try again\.$/);
  expect((await stored<{ tries: number }>(page, "newel-vault", "vaults"))[0]?.tries).toBe(2);
  for (const [left, wait] of [[2, 30], [1, 300]] as const) {
    await ahead(301_000);
    await unlock(page, "0000");
    await expect(said(page)).toContainText(`You can try ${left} more time`);
    await expect(said(page)).toContainText(`Wait ${wait} seconds`);
  }
  await ahead(301_000);
  await unlock(page, "0000");
  await expect(said(page)).toHaveText("That was not the PIN, too many times. You can unlock again when you are online.");
  expect(await held(page)).toEqual([]);
  await page.reload();
  await expect(said(page)).toContainText("You are offline right now.");
  await expect(page.locator("[data-unlock]")).toBeHidden();
  line.up();
  await page.reload();
  await unlock(page, PIN);
  await expect(today(page)).toBeVisible();
});

test("F57: two people with PINs. Without signal, each opens only their own pages", async ({ hand: page, demo, line }) => {
  await workerReady(page);
  await setPIN(page, "4711");
  const first = await account(page);
  await page.goto("/today");
  const child = (await today(page).locator("h1").textContent()) ?? "";
  await lock(page);
  await expect.poll(() => held(page)).toEqual([true]);
  await enter(page, demo, line, "lubna");
  const other = (await today(page).locator("h1").textContent()) ?? "";
  expect(other).not.toBe(child);
  await setPIN(page, "2580");
  line.down();
  await lock(page);
  await expect.poll(() => held(page)).toEqual([true, true]);
  const kept = await everythingKept(page);
  for (const secret of [child, other]) expect(kept.includes(secret), secret).toBe(false);
  await page.reload();
  const who = (id: string) => page.locator(`[data-unlock] input[value="${id}"]`);
  await who(first).check();
  await unlock(page, "2580");
  await expect(said(page)).toContainText("That was not the PIN.");
  await unlock(page, "4711");
  await expect(today(page).locator("h1")).toHaveText(child);
  expect(await account(page)).toBe(first);
  expect(await everythingKept(page)).not.toContain(other);
  // The server still takes the phone for the second person's: it is told that she has locked it, and shows no one her pages.
  const days: string[] = [];
  page.on("response", async (r) => {
    if (new URL(r.url()).pathname === "/phone/day" && r.status() === 200) days.push(((await r.json()) as { account: string }).account);
  });
  line.up();
  await page.evaluate(() => window.dispatchEvent(new Event("online")));
  await expect.poll(() => days).toContain(first);
  expect(new Set(days)).toEqual(new Set([first]));
  await expect(today(page).locator("h1")).toHaveText(child);
  expect(await everythingKept(page)).not.toContain(other);
});

test("F58: a program that the child refused stays paused after unlocking without signal", async ({ another, demo, line, shadow }) => {
  const { page } = await another();
  await enter(page, demo, line, "lubna");
  await workerReady(page);
  await setPIN(page);
  line.down();
  await begin(page);
  await tap(page, shadow, "declined");
  await page.locator('[data-part="declined"] [data-stop]').click();
  await page.getByRole("link", { name: "Back to Today" }).click();
  await expect(page.locator(".resting")).toBeVisible();
  await lock(page);
  await expect.poll(() => held(page)).toEqual([true]);
  await page.reload();
  await unlock(page, PIN);
  await expect(page.locator(".resting")).toBeVisible();
});

test("F59: what was locked a week ago, or signed out for good, cannot be opened without signal", async ({ hand: page, line }) => {
  const ahead = await clock(page);
  await workerReady(page);
  await setPIN(page);
  line.down();
  await lock(page);
  await expect.poll(() => held(page)).toEqual([true]);
  await ahead(7 * 24 * 3_600_000 + 1000);
  await page.reload();
  await expect(said(page)).toContainText("You are offline right now.");
  await expect.poll(() => held(page)).toEqual([false]);
  line.up();
  await page.reload();
  await unlock(page, PIN);
  await expect(today(page)).toBeVisible();
  await page.goto("/leave");
  line.down();
  await page.getByRole("button", { name: /^Sign out for good/ }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect.poll(() => held(page)).toEqual([]);
});

test("locking without a PIN asks for one first", async ({ hand: page }, info) => {
  await workerReady(page);
  await thisPhone(page);
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  await expect(page.getByText("You have no PIN. Set one first")).toBeVisible();
  await expectAccessible(page);
  await shot(page, info, "leave-without-pin");
  await page.locator('[data-pin] input[name="pin"]').fill(PIN);
  await page.getByRole("button", { name: "Set the PIN" }).click();
  await expect(page.getByText("To come back, use your PIN.")).toBeVisible();
  await page.getByRole("button", { name: "Sign out", exact: true }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await unlock(page, PIN);
  await expect(today(page)).toBeVisible();
});
