import { expect, type Page } from "@playwright/test";
import { expectAccessible } from "./axe";
import { account, everythingKept, sessions, stored } from "./kept";
import { expectNoSidewaysScroll, expectTargets } from "./layout";
import { begin, enter, session, tap, test, workerReady } from "./phone";
import { shot } from "./shot";

// Today: what was begun, what was done and by whom, who I am, and all programs.

const begun = (page: Page) => page.locator(".begun");
const done = (page: Page) => page.locator(".fold .line");

/** The title of the next program. */
const nextTitle = async (page: Page): Promise<string> => (await page.locator(".next .nx :is(h2, h3)").first().textContent()) ?? "";

/** The open sessions of this phone, and how the last closed one ended. */
async function openAndEnding(page: Page): Promise<[number, string]> {
  const all = (await sessions(page)) as unknown as { doc: { closing?: unknown; header: { ended_early?: { value?: string } } } }[];
  return [all.filter((k) => !k.doc.closing).length, all.filter((k) => k.doc.closing).at(-1)?.doc.header.ended_early?.value ?? ""];
}

/** Where the step on the card is taught. */
const nextAddress = (page: Page) => page.locator('.next a[href^="/teach/"]').first().getAttribute("href");

test("what was begun comes first on Today, and continues at the same try", async ({ hand: page, shadow }, info) => {
  await begin(page);
  const program = await page.locator(".bar h1").first().textContent();
  await tap(page, shadow);
  await tap(page, shadow, "not_yet");
  await page.goto("/today");
  await expect(begun(page).getByRole("heading", { name: `Continue ${program ?? ""}` })).toBeVisible();
  await expect(begun(page)).toContainText("2 tries recorded.");
  await expect(page.locator("a.big:not(.line)")).toHaveCount(1); // the only solid next step
  await expectAccessible(page);
  await expectTargets(page, 44);
  await expectNoSidewaysScroll(page);
  await shot(page, info, "today-begun");
  await begun(page).getByRole("link", { name: "Continue", exact: true }).click();
  await expect(page.locator("[data-so-far]").filter({ visible: true })).toContainText("3 of");
  expect(await tap(page, shadow)).toBe(3);
});

test("a session can be finished as it is, or set aside, from Today", async ({ hand: page, shadow }) => {
  const before = await done(page).count(); // of other tests in the same clinic
  await begin(page);
  await tap(page, shadow);
  await page.goto("/today");
  await begun(page).getByRole("button", { name: "Finish it as it is" }).click();
  await expect(begun(page)).toHaveCount(0);
  expect(await openAndEnding(page)).toEqual([0, ""]);
  await expect(done(page)).toHaveCount(before + 1);

  await begin(page);
  await tap(page, shadow, "not_yet");
  await page.goto("/today");
  await begun(page).getByRole("button", { name: "Set aside" }).click();
  await expect(begun(page)).toHaveCount(0);
  expect(await openAndEnding(page)).toEqual([0, "other"]);
  await expect(done(page)).toHaveCount(before + 2);
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("a session that was left open for days is still offered, and never closed without asking", async ({ hand: page, shadow }) => {
  await begin(page);
  await tap(page, shadow);
  await page.goto("/today");
  const name = "newel-" + (await account(page));
  // As if it had been left the day before yesterday.
  await page.evaluate(
    (n) =>
      new Promise<void>((over) => {
        const opening = indexedDB.open(n);
        opening.onsuccess = () => {
          const tx = opening.result.transaction(["recordings", "taps"], "readwrite");
          for (const store of ["recordings", "taps"]) {
            const rows = tx.objectStore(store).openCursor();
            rows.onsuccess = () => {
              const row = rows.result;
              if (!row) return;
              row.update({ ...row.value, changed: Date.now() - 48 * 3_600_000 });
              row.continue();
            };
          }
          tx.oncomplete = () => {
            opening.result.close();
            over();
          };
        };
      }),
    name,
  );
  await page.reload();
  await expect(begun(page)).toBeVisible();
  expect((await openAndEnding(page))[0]).toBe(1);
  await begun(page).getByRole("button", { name: "Finish it as it is" }).click();
  await expect(begun(page)).toHaveCount(0);
  expect(await openAndEnding(page)).toEqual([0, ""]);
});

test("after a session without signal something else is next, and the session is under Done today, once", async ({ hand: page, line, shadow }) => {
  await workerReady(page);
  const first = await nextTitle(page);
  const address = await nextAddress(page);
  const before = await done(page).count();
  line.down();
  await session(page, shadow);
  await page.getByRole("link", { name: "Done for now" }).click();
  await expect(done(page)).toHaveCount(before + 1);
  await expect(done(page).last()).toContainText(first);
  await expect(done(page).last()).toContainText("Sari");
  await expect(done(page).last().locator(".mk").first()).toBeVisible();
  const second = await nextAddress(page); // the other role of a program has the same title
  expect(second).not.toBe(address);
  line.up();
  await page.reload();
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  await page.reload();
  await expect(done(page)).toHaveCount(before + 1); // the server's day and this phone know the same session
  expect(await nextAddress(page)).toBe(second);
});

test("what was begun on another phone is said, without a solid button", async ({ hand: page, another, demo, line, shadow }) => {
  const { page: other } = await another();
  await enter(other, demo, line, "caregiver");
  await begin(page);
  await tap(page, shadow);
  await page.goto("/today"); // leaving sends what is open
  await expect.poll(async () => (await sessions(page)).some((k) => k.receipt)).toBe(true);
  await other.goto("/today");
  await other.getByRole("button", { name: "Check for updates" }).click();
  await expect(other.getByText(/Sari started .* at .*, on another phone\./)).toBeVisible();
  await expect(begun(other)).toHaveCount(0);
  await expect(other.locator(".next a.big:not(.line)")).toHaveCount(0);
  await expect(begun(page)).toHaveCount(1);
});

test("after Not today for all, the page says so and offers the others", async ({ hand: page }) => {
  const button = page.getByRole("button", { name: "Not today" });
  for (let n = 0; n < 6 && (await button.count()) > 0; n++) {
    const title = await nextTitle(page);
    await button.click();
    await expect.poll(async () => ((await button.count()) === 0 ? "" : nextTitle(page))).not.toBe(title);
  }
  await expect(page.getByText("You put off everything for today.")).toBeVisible();
  await expect(page.getByText("Nothing planned for")).toHaveCount(0);
  await expect(page.locator('.fold a[href^="/teach/"]').first()).toBeVisible();
});

test("the person who teaches is not offered as someone else who was there", async ({ hand: page }) => {
  await page.locator('.next a[href^="/record/"]').first().click();
  const hidden = page.locator("[data-person][hidden]");
  for (const name of ["Opah", "Sari"]) {
    await page.locator("[data-before]").getByRole("radio", { name }).check();
    await expect(hidden).toHaveCount(1);
    await expect(hidden).toHaveText(name);
  }
});

test("all programs are behind one line, with what is paused after a no", async ({ hand: page, another, demo, line }, info) => {
  await page.getByRole("link", { name: /^All programs/ }).click();
  await expect(page.getByRole("heading", { name: "All programs" })).toBeVisible();
  expect(await page.locator('.fold a[href^="/teach/"]').count()).toBeGreaterThan(2);
  await expect(page.locator(".fold .stair").first()).toBeVisible();
  await expectAccessible(page);
  await shot(page, info, "programs");
  const { page: orla } = await another();
  await enter(orla, demo, line, "orla");
  await orla.getByRole("link", { name: /^All programs/ }).click();
  await expect(orla.getByRole("heading", { name: "Paused" })).toBeVisible();
  await expect(orla.getByText("after a no")).toBeVisible();
});

test("one tap and a PIN change the person; the first person's data are sealed", async ({ hand: page, demo, line, shadow }) => {
  const first = await account(page);
  await workerReady(page);
  const child = (await page.locator(".day h1").first().textContent()) ?? "";
  await page.goto("/today#pin");
  await page.locator('[data-pin] input[name="pin"]').fill("4711");
  await page.getByRole("button", { name: "Set the PIN" }).click();
  await expect(page.locator("[data-pin-said]")).toHaveText("Your PIN is set.");
  await page.goto("/today#phone");
  await page.getByRole("button", { name: "Lock, or let someone else use it" }).click();
  await expect(page.getByRole("heading", { name: "Locked" })).toBeVisible();
  await enter(page, demo, line, "lubna");
  await expect(page.getByRole("link", { name: "I am Lubna" })).toBeVisible();
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  await page.goto("/today");
  const second = await account(page);
  const theirs = (await page.locator(".day h1").first().textContent()) ?? "";
  expect(theirs).not.toBe(child);
  await page.getByRole("link", { name: "I am Lubna" }).click();
  await expect(page.getByText("You have no PIN.")).toBeVisible();
  await expectAccessible(page);
  await page.locator("[data-switch] input[name=pin]").fill("4711");
  await page.getByRole("button", { name: "Switch", exact: true }).click();
  await expect(page.getByRole("link", { name: "I am Sari" })).toBeVisible();
  expect(await account(page)).toBe(first);
  await expect.poll(async () => (await stored<{ account: string; storedAt?: number }>(page, "newel-sealed", "sealed")).map((s) => s.account)).toEqual([second]);
  await expect.poll(() => everythingKept(page)).not.toContain(theirs);
  line.refuse = undefined;
});

for (const [width, size] of [[280, 1], [320, 2], [280, 2]] as const) {
  test(`Today at ${width} px and text at ${size * 100} %`, async ({ hand: page, shadow }, info) => {
    await session(page, shadow);
    await page.setViewportSize({ width, height: 568 });
    await page.goto("/today");
    await expect(done(page).first()).toBeVisible();
    await page.evaluate((n) => document.documentElement.style.setProperty("font-size", `${n * 100}%`), size);
    await expectNoSidewaysScroll(page);
    await expectTargets(page, 44);
    await shot(page, info, `today-${width}-${size}`);
  });
}
