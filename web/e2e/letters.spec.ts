import { randomUUID } from "node:crypto";
import { expect, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { Handset } from "./handset";
import { account, everythingKept, stored } from "./kept";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { enter, test as phoneTest, workerReady } from "./phone";
import { shot } from "./shot";

// Pages that the server renders, without signal, and what is written on them: messages, answers, incidents.
// The numbers are those of the table in docs/phone-faults.md.

const test = phoneTest.extend<{ handset: Handset }>({
  handset: async ({}, use) => {
    const handset = await Handset.made();
    await use(handset);
    await handset.end();
  },
});

interface LetterHere {
  id: string;
  text: string;
  storedAt?: number;
  trouble?: string;
}

/** The letters on this phone. A page that shows what was sent by loading itself again ends a look at its stores. */
async function letters(page: Page): Promise<LetterHere[]> {
  let all: LetterHere[] = [];
  await expect(async () => void (all = await stored<LetterHere>(page, "newel-" + (await account(page)), "letters"))).toPass();
  return all;
}
const sealedLetters = async (page: Page): Promise<boolean[]> =>
  (await stored<{ letter?: boolean; storedAt?: number }>(page, "newel-sealed", "sealed")).filter((s) => s.letter).map((s) => s.storedAt !== undefined);

/** A text that no other test writes. */
const unique = (): string => "He asked for it himself " + randomUUID();

/** Waits until the phone has copies of its pages. */
async function copied(page: Page): Promise<void> {
  await workerReady(page);
  await expect.poll(async () => (await stored(page, "newel-" + (await account(page)), "pages")).length).toBeGreaterThanOrEqual(5);
}

const field = (page: Page) => page.getByLabel("Write a message");
const waiting = (page: Page) => page.locator("#letters-here li");
const send = (page: Page) => page.getByRole("button", { name: "Send", exact: true }).click();

async function write(page: Page, text: string): Promise<void> {
  await field(page).fill(text);
  await send(page);
}

/** How often the server has a message. */
async function onServer(page: Page, text: string): Promise<number> {
  const answer = await page.request.get("/messages");
  expect(answer.status()).toBe(200);
  return (await answer.text()).split(text).length - 1;
}

test("F46: progress, messages, questions, agreed things and incidents open without signal and say since when", async ({ hand: page, line }, info) => {
  const progress = (await page.locator('a[href^="/progress/"]').first().getAttribute("href")) ?? "";
  await copied(page);
  line.down();
  for (const [name, path, head] of [
    ["progress", progress, ""],
    ["messages", "/messages", "Messages with your clinic"],
    ["questions", "/questions", ""],
    ["agreed", "/agreed", ""],
    ["incidents", "/incidents", ""],
  ] as const) {
    await page.goto(path);
    await expect(page.locator(".copied")).toContainText("You are offline. This page is from ");
    await expect(page.locator("h1")).toHaveCount(1);
    if (head !== "") await expect(page.locator("h1")).toHaveText(head);
    for (const scheme of ["light", "dark"] as const) {
      await page.emulateMedia({ colorScheme: scheme });
      await shot(page, info, `offline-${name}-${scheme}`);
    }
    await page.emulateMedia({ colorScheme: "light" });
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
    await expectTargets(page, 44);
  }
  // A page that this phone has never had says so, and leads back to Today.
  await page.goto("/progress/" + randomUUID());
  await expect(page.getByText("This page is not saved on this phone yet.")).toBeVisible();
  await shot(page, info, "offline-missing");
  await page.getByRole("link", { name: "Today" }).click();
  await expect(page.locator(".day").first()).toBeVisible();
  // With signal, it is the server's page again.
  line.up();
  await page.goto("/messages");
  await expect(page.locator(".copied")).toHaveCount(0);
});

test("F47: the browser killed after a message was confirmed. It is there again, and sent once", async ({ demo, line, handset }) => {
  let page = await handset.page();
  await enter(page, demo, line, "caregiver");
  await copied(page);
  line.down();
  const text = unique();
  await page.goto(line.url + "/messages");
  await write(page, text);
  await expect(waiting(page)).toContainText("Saved on this phone");
  await handset.kill();
  await handset.on();
  page = await handset.page();
  await page.goto(line.url + "/messages");
  await expect(waiting(page)).toContainText(text);
  await expect(page.locator("#outbox")).toHaveText("1 message on this phone is waiting to be sent.");
  line.up();
  await enter(page, demo, line, "caregiver"); // a killed browser may have forgotten its cookies
  await expect.poll(async () => (await letters(page)).every((l) => l.storedAt !== undefined)).toBe(true);
  await page.goto(line.url + "/messages");
  await expect(page.locator("ol li").filter({ hasText: text })).toHaveCount(1);
  await expect(waiting(page)).toHaveCount(0);
});

test("F48: the response to a message is lost. It is sent again and counts once", async ({ hand: page, line }) => {
  await page.goto("/messages");
  const text = unique();
  line.swallow = true;
  await write(page, text);
  await expect.poll(() => line.asked.some((r) => r.startsWith("PUT /phone/letters/"))).toBe(true);
  expect((await letters(page)).map((l) => l.storedAt)).toEqual([undefined]);
  line.swallow = false;
  await page.evaluate(() => window.dispatchEvent(new Event("online")));
  await expect.poll(async () => (await letters(page)).every((l) => l.storedAt !== undefined)).toBe(true);
  expect(await onServer(page, text)).toBe(1);
});

test("F49: two tabs send what waits once, and a message written in each arrives once", async ({ hand: page, line }) => {
  await copied(page);
  const other = await page.context().newPage();
  const [one, two] = [unique(), unique()];
  line.down();
  await page.goto("/messages");
  await other.goto("/messages");
  await write(page, one);
  await expect(waiting(page)).toContainText(one);
  await write(other, two);
  await expect(waiting(other)).toHaveCount(2);
  line.up();
  await Promise.all([page.reload(), other.reload()]);
  await expect.poll(async () => (await letters(page)).filter((l) => l.storedAt !== undefined).length).toBe(2);
  expect([await onServer(page, one), await onServer(page, two)]).toEqual([1, 1]);
});

test("F50: another person signs in. What waits is sealed, no copy is left for them, and it is sent when its author is back", async ({ hand: page, demo, line }) => {
  await copied(page);
  const first = await account(page);
  const text = unique();
  line.down();
  await page.goto("/messages");
  await write(page, text);
  await expect(waiting(page)).toContainText(text);
  line.refuse = /^PUT \/phone\/letters/;
  line.up();
  await enter(page, demo, line, "lubna");
  await expect.poll(() => account(page)).not.toBe(first);
  await expect(page.locator("#outbox")).toContainText("1 message from another person is waiting on this phone.");
  await copied(page);
  expect(await everythingKept(page)).not.toContain(text);
  expect(await stored(page, "newel-" + first, "pages")).toEqual([]);
  line.refuse = undefined;
  line.down();
  await page.goto("/messages");
  await expect(page.locator(".copied")).toBeVisible(); // her own copy
  await expect(waiting(page)).toHaveCount(0);
  line.up();
  await page.goto("/today");
  await expect(page.locator(".day").first()).toBeVisible();
  expect(await sealedLetters(page)).toEqual([false]); // not in her name
  await enter(page, demo, line, "caregiver");
  await expect.poll(() => sealedLetters(page)).toEqual([true]);
  expect(await onServer(page, text)).toBe(1);
});

test("F51: a message that the server refuses stays, says why, and can be changed", async ({ hand: page }) => {
  await page.goto("/messages");
  const text = unique();
  await write(page, text + "x".repeat(8000));
  await expect(waiting(page)).toContainText("This could not be sent: ");
  await expect(waiting(page)).toContainText("Please change it and send it again.");
  await expect(page.locator("#outbox")).toContainText("1 message could not be sent. It is safe on this phone.");
  await page.goto("/today");
  await page.getByRole("link", { name: "This phone" }).click();
  await expect(page.locator(".resting")).toContainText(text);
  await page.goto("/messages");
  await page.getByRole("button", { name: "Change it" }).click();
  await expect(field(page)).toHaveValue(new RegExp(text));
  await write(page, text);
  await expect(page.locator("ol li").filter({ hasText: text })).toHaveCount(1);
  expect((await letters(page)).filter((l) => l.trouble !== undefined)).toEqual([]);
});

test("F52: locked without signal. No copy and no message stays readable, in any tab", async ({ hand: page, line }) => {
  await copied(page);
  const text = unique();
  const child = (await page.locator(".day h1").first().textContent()) ?? "";
  const id = await account(page);
  line.down();
  await page.goto("/messages");
  await write(page, text);
  await expect(waiting(page)).toContainText(text);
  const other = await page.context().newPage();
  await other.goto("/incidents");
  await expect(other.locator(".copied")).toBeVisible();
  await page.goto("/leave");
  await expect(page.getByText("1 message is not sent to your clinic yet.")).toBeVisible();
  await page.getByRole("button", { name: "Sign out without a PIN" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect(other.getByRole("heading", { name: "Locked" })).toBeVisible();
  await expect.poll(() => sealedLetters(page)).toEqual([false]);
  await expect.poll(() => everythingKept(page)).not.toContain("newel-" + id + "\n");
  const kept = await everythingKept(page);
  for (const secret of [text, child]) expect(kept.includes(secret), secret).toBe(false);
  await page.goto("/messages");
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
});

test("F53: an incident and an answer written without signal arrive as the forms would have sent them", async ({ hand: page, line }) => {
  await copied(page);
  const text = unique();
  line.down();
  await page.goto("/incidents");
  const form = page.locator('form[action="/incidents"]');
  await form.getByRole("button").click();
  await expect(form.getByRole("alert")).toContainText("Please fill this in");
  const learner = form.locator('input[name="learner"]');
  if ((await learner.count()) > 0) await learner.first().check();
  await form.locator('input[name="hurt"][value="no"]').check();
  await form.locator('[name="saw"]').fill(text);
  await form.getByRole("button").click();
  await expect(waiting(page)).toContainText(text);
  await page.goto("/questions");
  const answer = page.locator('form[action^="/questions/"]').first();
  const reply = unique();
  const asked = (await answer.count()) > 0;
  if (asked) {
    await answer.locator("textarea").fill(reply);
    await answer.getByRole("button").click();
    await expect(waiting(page)).toContainText(reply);
  }
  line.up();
  await page.goto("/incidents");
  await expect(page.locator(".incident").filter({ hasText: text })).toHaveCount(1);
  await expect.poll(async () => (await letters(page)).every((l) => l.storedAt !== undefined)).toBe(true);
  expect(await letters(page)).toHaveLength(asked ? 2 : 1);
});

test("F54: nothing can be stored. A message is sent by its form as before", async ({ another, demo, line }) => {
  const { page } = await another();
  await enter(page, demo, line, "caregiver");
  await page.addInitScript(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...args: Parameters<typeof put>) {
      if (this.name === "letters") throw new DOMException("full", "QuotaExceededError");
      return put.apply(this, args);
    };
  });
  await page.goto("/messages");
  const text = unique();
  await write(page, text);
  await expect(page.locator("ol li").filter({ hasText: text })).toHaveCount(1);
  expect(await letters(page)).toEqual([]);
});
