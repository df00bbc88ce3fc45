import { expect, type Page } from "@playwright/test";
import { account, sessions, stored } from "./kept";
import { answerButton, begin, enter, finish, NO_SCRIPT, session, tap, test, toTheEnd, where, workerReady } from "./phone";
import { openSession } from "./shadow";

// What can go wrong on a phone while it stores and sends, one by one. The numbers are those of the table in
// docs/phone-faults.md. Go tests cover the server's side; offline.spec.ts and the soak cover killed browsers,
// people.spec.ts people, and versions.spec.ts new builds.

test("F1: a page that goes away at any moment leaves a tap either complete or absent", async ({ another, demo, line, shadow }) => {
  test.setTimeout(180_000);
  const instants = 100; // the server's side is cut at 240 points (TestF1CutAtAnyMoment)
  const { page } = await another({ serviceWorkers: "block" }); // the worker would answer for the frames
  await enter(page, demo, line, "caregiver");
  await begin(page);
  await tap(page, shadow);
  const id = (await openSession(page))?.id ?? "";
  const address = page.url();
  // The recorder in a frame: removing a frame ends its page at once, in the middle of whatever it is doing.
  // Only for this, the page is served without the policy that keeps it out of frames.
  const frames = await page.context().newPage();
  const files = new Map<string, { body: Buffer; contentType: string }>();
  await frames.route(/\/(record|assets)\//, async (route) => {
    const at = route.request().url();
    if (!files.has(at)) {
      const got = await page.request.get(at);
      files.set(at, { body: await got.body(), contentType: got.headers()["content-type"] ?? "" });
    }
    await route.fulfill(files.get(at)!);
  });
  await frames.route("**/frames", (route) => route.fulfill({ contentType: "text/html", body: "<!doctype html><title>Frames</title><body>" }));
  await frames.goto("/frames");
  await page.goto(NO_SCRIPT); // releases the recorder
  line.refuse = / \/(recordings|phone|kits)/;
  const found = await frames.evaluate(
    async ([src, times]) => {
      const wrong: string[] = [];
      const until = <T>(look: () => T | null | undefined | false): Promise<T> =>
        new Promise((done, failed) => {
          const end = performance.now() + 10_000;
          const again = (): void => {
            const seen = look();
            if (seen) done(seen);
            else if (performance.now() > end) failed(new Error(look.toString()));
            else setTimeout(again, 1);
          };
          again();
        });
      let confirmed = 1, kept = 1, unsaid = 0;
      for (let i = 0; i < times; i++) {
        const frame = document.createElement("iframe");
        frame.src = src;
        document.body.append(frame);
        const find = <E extends HTMLElement>(what: string): E | null | undefined => frame.contentDocument?.querySelector<E>(what);
        const offered = await until(() => find("[data-resume-box]")?.hidden === false && /(\d+) (?:tr(?:y|ies) )?recorded/.exec(find("[data-resume-text]")?.textContent ?? ""));
        kept = Number(offered[1]);
        if (!(kept >= confirmed && kept <= confirmed + unsaid)) wrong.push(`${i}: ${confirmed} confirmed, ${unsaid} tapped beside, ${kept} kept`);
        [confirmed, unsaid] = [kept, 0];
        find("[data-resume]")!.click();
        await until(() => find('section[data-part~="rail"]')?.hidden === false);
        const said = find("#said")!;
        const seen = new MutationObserver(() => (confirmed = Number(/Saved\. (\d+) of/.exec(said.textContent ?? "")?.[1] ?? confirmed)));
        seen.observe(said, { childList: true, characterData: true, subtree: true });
        find('[data-part="rail"] [data-answer="alone"]')!.click();
        unsaid = 1;
        const end = performance.now() + Math.random() * 12;
        await until(() => performance.now() >= end);
        seen.takeRecords().forEach(() => (confirmed = Number(/Saved\. (\d+) of/.exec(said.textContent ?? "")?.[1] ?? confirmed)));
        if (confirmed > kept) unsaid = 0;
        frame.remove();
      }
      return { wrong, confirmed, unsaid };
    },
    [address, instants] as const,
  );
  expect(found.wrong).toEqual([]);
  expect(found.confirmed).toBeGreaterThan(1); // some were confirmed
  expect(found.confirmed + found.unsaid).toBeLessThan(instants + 1); // and some were not: the moments were well chosen
  const open = (await sessions(frames)).find((k) => k.id === id);
  shadow.note(id, found.confirmed, open?.doc.author ?? "");
  for (let n = found.unsaid; n > 0; n--) shadow.doubt(id, open?.doc.author ?? "");
});

test("F6, F7: no room. Nothing is confirmed, the page says so, and continues when there is room", async ({ hand: page, shadow }) => {
  await page.addInitScript(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...args: Parameters<typeof put>) {
      if (document.documentElement.hasAttribute("data-full") && ["recordings", "taps"].includes(this.name)) throw new DOMException("full", "QuotaExceededError");
      return put.apply(this, args);
    };
  });
  await page.reload();
  await begin(page);
  await tap(page, shadow);
  await page.evaluate(() => document.documentElement.setAttribute("data-full", ""));
  await (await answerButton(page, "alone")).click();
  await expect(page.locator("#said")).toContainText("Not saved");
  expect((await openSession(page))?.doc.trials.length).toBe(1);
  await page.evaluate(() => document.documentElement.removeAttribute("data-full"));
  expect(await tap(page, shadow)).toBe(2);
});

test("F8: the system takes the database's connection away", async ({ hand: page, shadow }) => {
  await page.addInitScript(() => {
    const transaction = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...args: Parameters<typeof transaction>) {
      if (document.documentElement.hasAttribute("data-gone")) {
        document.documentElement.removeAttribute("data-gone");
        throw new DOMException("Connection to Indexed Database server lost", "InvalidStateError");
      }
      return transaction.apply(this, args);
    };
  });
  await page.reload();
  await begin(page);
  await page.evaluate(() => document.documentElement.setAttribute("data-gone", ""));
  await tap(page, shadow);
  expect((await openSession(page))?.doc.trials.length).toBe(1);
});

test("F8: opening is retried if a database does not open at once after a kill", async ({ hand: page, shadow }) => {
  await page.addInitScript(() => {
    const open = IDBFactory.prototype.open;
    const asked = new Map<string, number>();
    IDBFactory.prototype.open = function (...args: Parameters<typeof open>) {
      const n = (asked.get(args[0]) ?? 0) + 1;
      asked.set(args[0], n);
      if (n <= 2) throw new DOMException("Internal error opening backing store", "UnknownError");
      return open.apply(this, args);
    };
  });
  await page.goto("/today");
  await expect(page.locator(".day").first()).toBeVisible();
  await page.locator('.next a[href^="/record/"]').first().click();
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
  await expect(page.locator("[data-cannot-keep]")).toBeHidden();
  expect(await tap(page, shadow)).toBe(1);
});

test("F9, F13: the page says so if the browser stores nothing, and works with signal", async ({ hand: page }) => {
  await page.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException("refused", "SecurityError");
    };
  });
  await page.goto("/today");
  await expect(page.getByText("This browser cannot save sessions")).toBeVisible();
  await page.locator('.next a[href^="/record/"]').first().click();
  await expect(page.locator("[data-cannot-keep]")).toBeVisible();
  await page.locator("[data-before] button[type=submit]").click();
  await page.locator('[data-part="rail"]').waitFor();
  while (await page.locator('[data-part="rail"]').isVisible()) {
    const before = await page.locator("#said").textContent();
    await (await answerButton(page, "alone")).click();
    await expect(page.locator("#said")).not.toHaveText(before ?? "");
  }
  await finish(page);
  await expect(where(page)).toHaveText("Saved at your clinic.");
});

test("F10: the page says if the browser does not promise to keep storage, and only then", async ({ hand: page }) => {
  for (const [promised, shown] of [[false, 1], [true, 0]] as const) {
    await page.addInitScript((answer) => {
      StorageManager.prototype.persisted = () => Promise.resolve(answer);
      StorageManager.prototype.persist = () => Promise.resolve(answer);
    }, promised);
    await page.goto("/today");
    await page.reload();
    await page.getByRole("link", { name: "This phone" }).click();
    await expect(page.locator('.fold a[href$="#pin"]')).toBeVisible();
    await expect(page.getByText("This browser may delete saved sessions")).toHaveCount(shown);
  }
});

test("F11: storage cleared with an unsent session. Today says how many are gone, until the person confirms", async ({ hand: page, line }) => {
  await begin(page);
  line.refuse = /^PUT \/recordings/;
  await (await answerButton(page, "alone")).click();
  await expect(page.locator("#said")).toContainText("Saved. 1 of");
  const told = page.waitForResponse((r) => r.url().endsWith("/phone/day") && (r.request().headers()["newel-unsent"] ?? "").includes("-7"));
  await page.goto("/today");
  await told;
  const cdp = await page.context().newCDPSession(page);
  await page.goto(NO_SCRIPT);
  await cdp.send("Storage.clearDataForOrigin", { origin: line.url, storageTypes: "indexeddb,service_workers,cache_storage,local_storage" });
  await page.goto("/today");
  await expect(page.getByText("1 session on this phone was lost")).toBeVisible();
  await page.getByRole("button", { name: "I have read this" }).click();
  await expect(page.getByRole("button", { name: "I have read this" })).toBeHidden();
  await page.reload();
  await expect(page.locator(".day").first()).toBeVisible();
  await expect(page.getByRole("button", { name: "I have read this" })).toBeHidden();
});

/** Deletes all databases, as a browser does that finds their files damaged. */
async function databasesGone(page: Page): Promise<void> {
  await page.goto(NO_SCRIPT);
  await page.evaluate(async () => {
    for (const { name } of await indexedDB.databases()) {
      await new Promise((done, failed) => {
        const asking = indexedDB.deleteDatabase(name ?? "");
        asking.onsuccess = done;
        asking.onerror = asking.onblocked = () => failed(new Error(`${name} stays`));
      });
    }
  });
}

test("F8: all databases gone at once. What was confirmed is restored from backup copies, and Today says so", async ({ hand: page, line, shadow, demo }) => {
  await workerReady(page);
  line.refuse = /^PUT \/recordings/;
  await enter(page, demo, line, "lubna");
  await session(page, shadow);
  await enter(page, demo, line, "caregiver"); // what the other person has here is sealed now
  await session(page, shadow);
  await begin(page);
  await tap(page, shadow);
  await tap(page, shadow, "not_yet");
  // One more copy that was interrupted: the previous one is used.
  await page.evaluate(async () => {
    const cache = await caches.open("newel-spare");
    const newest = [...(await cache.keys())].pop()!;
    await cache.put(newest.url.replace(/\d+$/, "9999"), new Response('{"id":"'));
  });
  await databasesGone(page);
  await page.goto("/today");
  await expect(page.getByText("2 sessions came back from backup copies and will be sent")).toBeVisible();
  await expect(page.locator("#outbox")).toContainText("2 sessions on this phone are waiting");
  await expect(page.locator("#outbox")).toContainText("1 session from another person is waiting on this phone");
  await page.getByRole("button", { name: "I have read this" }).click();
  await expect(page.getByText("came back from backup copies")).toBeHidden();
  line.refuse = undefined;
  for (const who of ["caregiver", "lubna"] as const) {
    await enter(page, demo, line, who);
    const own = await account(page);
    const waits = async (): Promise<number> => (await stored<{ account: string; storedAt?: number }>(page, "newel-sealed", "sealed")).filter((s) => s.account === own && s.storedAt === undefined).length;
    await expect.poll(waits).toBe(0);
  }
  // Compared with the server at the end; the copies are deleted after the receipts.
  await expect.poll(() => page.evaluate(async () => (await (await caches.open("newel-spare")).keys()).length)).toBe(0);
});

test("F8: backup copies that fail or never finish do not prevent a tap from being stored", async ({ another, demo, line, shadow }) => {
  for (const broken of ["never", "fails", "deaf"]) {
    const { page } = await another();
    await page.addInitScript((how) => {
      if (how === "deaf") {
        CacheStorage.prototype.has = () => new Promise(() => undefined);
        CacheStorage.prototype.open = () => new Promise(() => undefined);
      }
      Cache.prototype.put = () => (how === "never" ? new Promise(() => undefined) : Promise.reject(new DOMException("no room", "QuotaExceededError")));
    }, broken);
    await enter(page, demo, line, "caregiver");
    await begin(page);
    await toTheEnd(page, shadow);
    await finish(page);
    await expect(where(page)).toContainText("Saved at your clinic");
  }
});

test("F14, F15: a second tab does not record beside the first", async ({ hand: page, shadow }) => {
  await begin(page);
  await tap(page, shadow);
  const other = await page.context().newPage();
  await other.goto(page.url());
  await other.locator("[data-resume]").click();
  await expect(other.locator("[data-elsewhere]")).toBeVisible();
  await other.locator("[data-before] button[type=submit]").click();
  await expect(other.locator('[data-part="rail"]')).toBeHidden();
  await page.close();
  // After closing the first, the second may continue once the browser has released the first one's lock.
  await expect(async () => {
    if (await other.locator("[data-resume]").isVisible()) await other.locator("[data-resume]").click();
    await expect(other.locator("[data-so-far]")).toContainText("2 of", { timeout: 1000 });
  }).toPass();
  expect(await tap(other, shadow)).toBe(2);
});

test("F16: two tabs send each session once", async ({ hand: page, line, shadow }) => {
  await workerReady(page);
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  const id = (await sessions(page)).find((k) => !k.receipt)?.id ?? "";
  const other = await page.context().newPage();
  await Promise.all([page.goto("/today"), other.goto("/today")]);
  for (const tab of [page, other]) await expect(tab.locator("#outbox")).toContainText("on this phone is waiting");
  line.asked.length = 0;
  line.refuse = undefined;
  await Promise.all([page, other].map((tab) => tab.evaluate(() => void window.dispatchEvent(new Event("online")))));
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  expect(line.asked.filter((r) => r === `PUT /recordings/${id}`).length).toBe(1);
});

test("F19, F20: signed out while away. Everything stays, nothing polls, and it is sent automatically when the same person is back", async ({ hand: page, demo, line, shadow }) => {
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  await page.context().clearCookies();
  line.refuse = undefined;
  await page.addInitScript(() => {
    const waits = new Map<number, number>();
    Object.assign(window, { waits });
    const { setTimeout: set, clearTimeout: clear } = window;
    window.setTimeout = ((fn: () => void, ms = 0, ...args: unknown[]): number => {
      const id: number = set(() => {
        waits.delete(id);
        fn.apply(window, args as []);
      }, ms);
      waits.set(id, ms);
      return id;
    }) as typeof window.setTimeout;
    window.clearTimeout = (id) => {
      waits.delete(id as number);
      clear(id);
    };
    window.setInterval = () => {
      throw new Error("nothing repeats on Today");
    };
  });
  await page.goto("/today");
  await expect(page.locator("#outbox")).toContainText("open your invitation link again");
  await expect(page.locator(".day").first()).toBeVisible();
  // Nothing is in flight and nothing is scheduled: a person has to act.
  await expect.poll(() => page.evaluate(() => [...(window as unknown as { waits: Map<number, number> }).waits.values()])).toEqual([]);
  expect((await sessions(page)).length).toBe(1);
  await enter(page, demo, line, "caregiver");
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
});

test("F26: a network's sign-in page is reported as such", async ({ hand: page, shadow }) => {
  await begin(page);
  await page.route(/\/(recordings|phone)\//, (route) => route.fulfill({ status: 200, contentType: "text/html", body: "<h1>Welcome to the café</h1>" }));
  await toTheEnd(page, shadow);
  await finish(page);
  await page.goto("/today");
  await expect(page.locator("#outbox")).toContainText("This network asks you to sign in first");
  await expect(page.locator(".day").first()).toBeVisible();
  expect((await sessions(page)).filter((k) => k.receipt).length).toBe(0);
});

test("F31: a very slow connection is waited for, and carries a session once", async ({ hand: page, line, shadow }) => {
  line.refuse = /^PUT \/recordings/;
  await session(page, shadow);
  const id = (await sessions(page))[0]?.id ?? "";
  line.refuse = undefined;
  line.speed = 600; // bytes a second, an old network far from its mast
  line.asked.length = 0;
  await page.evaluate(() => void window.dispatchEvent(new Event("online")));
  await expect(where(page)).toContainText("Saved on this phone.");
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt)).toBe(true);
  expect(line.asked.filter((r) => r === `PUT /recordings/${id}`).length).toBe(1);
});

test("F33: a permanently refused session does not hold up the others", async ({ hand: page, shadow }) => {
  await begin(page);
  await page.route("**/recordings/*", (route) => route.fulfill({ status: 422, contentType: "application/json", body: '{"error":"invalid"}' }));
  await toTheEnd(page, shadow);
  await finish(page);
  await expect.poll(async () => (await sessions(page)).filter((k) => k.trouble === "422").length).toBe(1);
  await page.unroute("**/recordings/*");
  await page.getByRole("link", { name: "Done for now" }).click();
  await expect(page.locator("#outbox")).toContainText("could not be sent. It is safe on this phone");
  await session(page, shadow);
  await expect(where(page)).toHaveText("Saved at your clinic.");
  await page.goto("/today#phone");
  for (const way of ["Try again", "Delete"]) await expect(page.getByRole("button", { name: way })).toBeVisible();
  await page.getByRole("button", { name: "Delete" }).click();
  expect((await sessions(page)).filter((k) => k.trouble).length).toBe(1); // only the second step triggers it
  await page.getByRole("button", { name: "Try again" }).click();
  await expect.poll(async () => (await sessions(page)).every((k) => k.receipt && !k.trouble)).toBe(true);
});

test("F34: an unreadable record is set apart; the others are sent", async ({ hand: page, shadow }) => {
  const name = "newel-" + (await account(page));
  await page.evaluate(
    (n) =>
      new Promise<void>((done) => {
        const opening = indexedDB.open(n);
        opening.onsuccess = () => {
          const tx = opening.result.transaction("recordings", "readwrite");
          tx.objectStore("recordings").put({ id: "00000000-0000-7000-8000-000000000000", placement: "x", body: "{", changed: 0 });
          tx.oncomplete = () => {
            opening.result.close();
            done();
          };
        };
      }),
    name,
  );
  await session(page, shadow);
  await expect(where(page)).toHaveText("Saved at your clinic.");
  await page.goto("/today");
  await expect(page.locator("#outbox")).toContainText("could not be sent. It is safe on this phone");
  expect((await stored<{ id: string }>(page, name, "recordings")).some((k) => k.id.startsWith("00000000"))).toBe(true);
});
