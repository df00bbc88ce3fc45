import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, type Page } from "@playwright/test";
import { Deploy } from "./deploy";
import { account, sessions } from "./kept";
import { Line } from "./line";
import { root } from "./paths";
import { begin, finish, session, tap, test as phoneTest, toTheEnd, where, workerReady, NO_SCRIPT } from "./phone";

// New builds, missing or broken workers, and other schemas of the database. A phone may run an older build
// than the server for weeks; nothing on it may depend on the two being the same.

const test = phoneTest.extend<{ deploy: Deploy }>({
  deploy: async ({ demo }, use) => {
    const deploy = await Deploy.of(demo.server.url);
    await use(deploy);
    await deploy.close();
  },
  // The connection leads to the server that is replaced.
  line: async ({ deploy }, use) => {
    const line = await Line.to(deploy.url);
    await use(line);
    await line.close();
  },
});

const build = (page: Page): Promise<string | undefined> => page.evaluate(() => document.documentElement.dataset["build"]);

/**
 * Checks for a new worker, as browsers do at least once a day. A check that starts while another is under way
 * joins that one and gets its answer, which may be older than what the server now has; one of a registration
 * that is going away may get no answer at all. So callers have to check again.
 */
const look = (page: Page): Promise<string> =>
  page
    .evaluate(async () => {
      const update = (await navigator.serviceWorker.getRegistration())?.update().then(() => "ok", (e: unknown) => String(e));
      return Promise.race([update ?? "none", new Promise<string>((done) => setTimeout(done, 5000, "no answer"))]);
    })
    .catch(() => "loaded anew");

test("F35: an old page continues with a new server, sends, and only then makes room for the new one", async ({ hand: page, deploy, line, shadow }) => {
  await workerReady(page);
  await page.reload();
  await begin(page);
  await tap(page, shadow);
  deploy.release("BBBBBBBB");
  await expect(async () => {
    expect(await look(page)).toBe("ok");
    expect(await page.evaluate(async () => (await navigator.serviceWorker.getRegistration())?.waiting?.state)).toBe("installed");
  }).toPass();
  await tap(page, shadow);
  expect(await build(page)).toBeUndefined(); // not pulled away from under a session
  // Reloaded in the middle it may be either build, and continues the session all the same.
  await page.reload();
  await expect(async () => {
    await page.locator("[data-resume]").click({ timeout: 2000 });
    await expect(page.locator("[data-so-far]").first()).toContainText("3 of", { timeout: 2000 });
  }).toPass();
  await toTheEnd(page, shadow);
  await finish(page);
  await expect(where(page)).toHaveText("Saved at your clinic."); // by the old page, with the new server
  await page.getByRole("link", { name: "Done for now" }).click();
  // Now that nothing is open the new one takes over: at once, or at the latest when Today is opened again.
  await expect(async () => {
    await page.goto("/today");
    await expect.poll(() => build(page).catch(() => undefined), { timeout: 2000 }).toBe("BBBBBBBB");
  }).toPass();
  await expect(page.locator(".day").first()).toBeVisible();
  line.down();
  await page.reload(); // the new one works without signal too
  expect(await build(page)).toBe("BBBBBBBB");
  await expect(page.locator(".day").first()).toBeVisible();
});

test("F36, F39: a missing or broken worker script changes nothing; removing the worker leaves the sessions", async ({ hand: page, deploy, line, shadow }) => {
  await workerReady(page);
  await page.reload();
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  deploy.release("CCCCCCCC");
  for (const worker of [{ status: 404, body: "not found" }, { status: 200, body: "<!doctype html><h1>café</h1>" }, { status: 500, body: "" }]) {
    deploy.worker = worker;
    await expect(async () => expect(await look(page)).not.toBe("ok")).toPass();
    await page.goto("/today");
    await expect(page.locator(".day").first()).toBeVisible();
    expect(await build(page)).toBeUndefined(); // wholly the old set: no mixture of the two
  }
  line.down();
  await page.reload();
  await expect(page.locator(".day").first()).toBeVisible(); // and without signal
  await expect(page.locator("#outbox")).toContainText("on this phone is waiting");
  line.up();
  // What an operator can do about a bad worker: serve the one that removes itself and the cached pages.
  deploy.worker = { status: 200, body: readFileSync(join(root, "web", "dist", "sw-off.js"), "utf8") };
  await expect(async () => {
    await look(page);
    expect(await page.evaluate(async () => (await caches.keys()).join()).catch(() => "")).toBe("newel-spare");
  }).toPass();
  deploy.worker = { status: 404, body: "" };
  await page.goto("/today");
  await expect.poll(() => build(page).catch(() => undefined)).toBe("CCCCCCCC"); // from the network now
  await expect(page.locator("#outbox")).toContainText("on this phone is waiting");
  line.refuse = undefined;
  await page.reload();
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("F40: worker and caches gone, sessions present: the page loads with signal and sends them", async ({ hand: page, line, shadow }) => {
  await workerReady(page);
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  await page.evaluate(async () => {
    await (await navigator.serviceWorker.getRegistration())?.unregister();
    for (const name of await caches.keys()) await caches.delete(name);
  });
  line.refuse = undefined;
  await page.goto("/today");
  await expect(page.locator(".day").first()).toBeVisible();
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  await workerReady(page); // and there is a worker again
});

/** Opens the account's database as a later build would, with an additional store. */
const later = (page: Page, name: string, fail: boolean): Promise<string> =>
  page.evaluate(
    async ([database, breaks]) => {
      const version = (await indexedDB.databases()).find((d) => d.name === database)?.version ?? 0;
      return new Promise<string>((done) => {
        const opening = indexedDB.open(database, version + 1);
        opening.onupgradeneeded = () => {
          opening.result.createObjectStore("of-a-later-build");
          if (breaks) opening.transaction?.abort();
        };
        opening.onblocked = () => done("blocked");
        opening.onerror = () => done("failed");
        opening.onsuccess = () => {
          opening.result.close();
          done("changed");
        };
      });
    },
    [name, fail] as const,
  );

test("F37, F38: a later build changes the database during an open session; older ones continue with what they know", async ({ hand: page, shadow }) => {
  await begin(page);
  await tap(page, shadow);
  const name = "newel-" + (await account(page));
  const other = await page.context().newPage();
  await other.goto(NO_SCRIPT);
  expect(await later(other, name, true)).toBe("failed"); // interrupted: unchanged
  await tap(page, shadow);
  expect(await later(other, name, false)).toBe("changed"); // the older tab does not block it
  await tap(page, shadow); // and continues on its own
  await page.reload(); // so does an older build that is rolled back to
  await page.locator("[data-resume]").click();
  await toTheEnd(page, shadow);
  await finish(page);
  await expect(where(page)).toHaveText("Saved at your clinic.");
});
