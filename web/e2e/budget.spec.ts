import { expect } from "@playwright/test";
import { begin, tap, test, workerReady } from "./phone";

// The phone's budgets: our own, chosen for an old phone with a poor connection. Go tests check the size of
// the bundles.

// Bytes transferred until Today works without signal, with all faces of the recorder and the script of the pages that the
// server renders, which the worker fetches after Today stands.
const FIRST_VIEW = 160 * 1024;

test("first view of Today: at most 160 KiB transferred, including the worker's own files", async ({ hand, another, line }) => {
  const known = await hand.context().storageState(); // signed in, and nothing loaded yet
  await hand.close();
  const { page } = await another({ storageState: { cookies: known.cookies, origins: [] } });
  // Copies of other pages come after it, one by one.
  await page.route(/\/(messages|questions|agreed|incidents|progress\/[^/]+)$/, (route) => route.abort());
  line.received = 0;
  await page.goto("/today");
  await expect(page.locator(".day").first()).toBeVisible();
  await workerReady(page);
  await page.waitForLoadState("networkidle");
  test.info().annotations.push({ type: "bytes", description: String(line.received) });
  expect(line.received).toBeGreaterThan(10_000); // it was transferred over this connection
  expect(line.received).toBeLessThanOrEqual(FIRST_VIEW);
});

test("the day is transferred once at the first view, and not again while nothing has changed", async ({ hand, another }) => {
  const known = await hand.context().storageState();
  await hand.close();
  const { page } = await another({ storageState: { cookies: known.cookies, origins: [] } });
  const days: number[] = [];
  page.on("response", (r) => {
    if (new URL(r.url()).pathname === "/phone/day") days.push(r.status());
  });
  await page.goto("/today");
  await expect(page.locator(".day").first()).toBeVisible();
  await expect.poll(() => days).toEqual([200, 304]); // the second names what is not sent yet, once it is known whose phone it is
  await page.getByRole("button", { name: "Check for updates" }).click();
  await expect.poll(() => days.slice(2)).toEqual([304]);
  await expect(page.locator(".day").first()).toBeVisible();
});

const JOINING = 15 * 1024; // bytes transferred for the page that links a phone, headers included

test("the page that links a phone: at most 15 KiB transferred, and only files of its own", async ({ demo, another, be, line }) => {
  const desk = await be("supervisor");
  await desk.goto("/families");
  await desk.locator('a[href^="/families/"]:not([href$="/new"])').first().click();
  await desk.getByRole("button", { name: "Create invitation" }).first().click();
  const link = (await desk.locator(".address code").textContent()) ?? "";
  const { page: phone } = await another();
  line.received = 0;
  const files: string[] = [];
  phone.on("request", (r) => files.push(new URL(r.url()).pathname.replace(/-[A-Z0-9]{8}\./, ".")));
  await phone.goto(link.replace(demo.server.url, line.url));
  await expect(phone.getByRole("button", { name: /^I am/ })).toBeVisible();
  await phone.waitForLoadState("networkidle");
  test.info().annotations.push({ type: "bytes", description: String(line.received) });
  expect(line.received).toBeGreaterThan(3_000);
  expect(line.received).toBeLessThanOrEqual(JOINING);
  const assets = files.filter((f) => f.startsWith("/assets/") && !f.endsWith(".svg"));
  expect(assets.sort()).toEqual(["/assets/joining.css", "/assets/joining.js", "/assets/theme.js"]);
});

test("a tap is one transaction and forces no layout", async ({ hand: page, shadow }) => {
  await page.addInitScript(() => {
    const seen = { transactions: [] as string[], reads: [] as string[] };
    Object.assign(window, { seen });
    const transaction = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...args: Parameters<typeof transaction>) {
      seen.transactions.push(String(args[0]) + " " + (args[1] ?? "readonly"));
      return transaction.apply(this, args);
    };
    // What makes a browser lay the page out immediately when read (Paul Irish's list, recalled).
    const getters: [object, string[]][] = [
      [Element.prototype, ["clientTop", "clientLeft", "clientWidth", "clientHeight", "scrollTop", "scrollLeft", "scrollWidth", "scrollHeight"]],
      [HTMLElement.prototype, ["offsetTop", "offsetLeft", "offsetWidth", "offsetHeight", "offsetParent", "innerText"]],
      [window, ["innerWidth", "innerHeight", "scrollX", "scrollY", "pageXOffset", "pageYOffset"]],
    ];
    for (const [owner, names] of getters) {
      for (const name of names) {
        const was = Object.getOwnPropertyDescriptor(owner, name);
        if (!was?.get || !was.configurable) continue;
        const get = was.get;
        Object.defineProperty(owner, name, {
          ...was,
          get(this: unknown) {
            seen.reads.push(name);
            return get.call(this) as unknown;
          },
        });
      }
    }
    const methods: [object, string[]][] = [
      [Element.prototype, ["getBoundingClientRect", "getClientRects", "scrollIntoView", "scrollBy", "scrollTo", "scroll"]],
      [HTMLElement.prototype, ["focus"]],
      [Range.prototype, ["getBoundingClientRect", "getClientRects"]],
      [window, ["getComputedStyle", "scrollBy", "scrollTo", "scroll"]],
      [Document.prototype, ["elementFromPoint", "elementsFromPoint"]],
    ];
    for (const [owner, names] of methods) {
      for (const name of names) {
        const was = (owner as Record<string, (...args: unknown[]) => unknown>)[name]!;
        (owner as Record<string, unknown>)[name] = function (this: unknown, ...args: unknown[]) {
          seen.reads.push(name);
          return was.apply(this, args);
        };
      }
    }
  });
  await page.reload();
  await begin(page);
  await tap(page, shadow); // whatever is done only once
  const undone = page.locator('[data-part="rail"] [data-undo]');
  for (const press of ['[data-part="rail"] [data-answer="not_yet"]', '[data-part="rail"] [data-answer="no_response"]']) {
    // A script taps here, because moving a real pointer makes the test tools themselves read layout.
    const during = await page.evaluate(
      (selector) =>
        new Promise<{ transactions: string[]; reads: string[] }>((done) => {
          const { seen } = window as unknown as { seen: { transactions: string[]; reads: string[] } };
          seen.transactions.length = seen.reads.length = 0;
          const marked = new MutationObserver(() => {
            marked.disconnect();
            done({ transactions: [...seen.transactions], reads: [...seen.reads] });
          });
          marked.observe(document.querySelector('[data-part="rail"] [data-marks], [data-marks]')!, { childList: true, subtree: true });
          const button = document.querySelector<HTMLElement>(selector)!;
          const init = { bubbles: true, cancelable: true, pointerId: 1, pointerType: "touch" };
          button.dispatchEvent(new PointerEvent("pointerdown", init));
          button.dispatchEvent(new PointerEvent("pointerup", init));
          button.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
        }),
      press,
    );
    expect(during.transactions.filter((t) => t.endsWith("readwrite")).length).toBe(1);
    expect(during.transactions.length).toBe(1);
    expect(during.reads).toEqual([]);
    await undone.click(); // room for the next
    await expect(page.locator("[data-so-far]").first()).toContainText("2 of");
  }
});
