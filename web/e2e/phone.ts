import { expect, type APIRequestContext, type BrowserContext, type BrowserContextOptions, type Locator, type Page } from "@playwright/test";
import { test as base, type Demo, type Who } from "./demo";
import { Line } from "./line";
import { compared, openSession, Shadow } from "./shadow";

// Phones for fault tests: each has its own storage, service worker, sign-in and connection. What its screen
// confirmed is recorded and compared with the phone and the server after every test.

/** A page of the origin that runs no script. */
export const NO_SCRIPT = "/healthz";

/** One phone: a fresh browser, connected. */
export interface Phone {
  page: Page;
  context: BrowserContext;
}

interface Fixtures {
  line: Line;
  shadow: Shadow;
  /** A supervisor's view of the server. */
  eyes: APIRequestContext;
  /** Another phone on the same connection. */
  another: (more?: BrowserContextOptions) => Promise<Phone>;
  /** The page of a phone on which a caregiver has signed in. */
  hand: Page;
}

export const test = base.extend<Fixtures>({
  line: async ({ demo }, use) => {
    const line = await Line.to(demo.server.url);
    await use(line);
    await line.close();
  },
  shadow: async ({}, use) => use(new Shadow()),
  eyes: async ({ playwright, demo }, use) => {
    const request = await playwright.request.newContext({ baseURL: demo.server.url, storageState: await demo.state("supervisor") });
    await use(request);
    await request.dispose();
  },
  another: async ({ browser, contextOptions, viewport, isMobile, hasTouch, colorScheme, line, demo, shadow, eyes }, use) => {
    const open: BrowserContext[] = [];
    await use(async (more = {}) => {
      const context = await browser.newContext({ ...contextOptions, viewport, isMobile, hasTouch, colorScheme, baseURL: line.url, ...more });
      open.push(context);
      return { context, page: await context.newPage() };
    });
    line.up();
    line.swallow = false;
    line.refuse = undefined;
    await invariants(open, line, shadow, demo, eyes);
    for (const context of open) await context.close();
  },
  hand: async ({ another, demo, line }, use) => {
    const { page } = await another();
    await enter(page, demo, line, "caregiver");
    await use(page);
  },
});

/** Checks I1 to I4; tests check what is shown for I5 and I6 where it happens. */
export async function invariants(phones: BrowserContext[], line: Line, shadow: Shadow, demo: Demo, eyes: APIRequestContext): Promise<void> {
  if (shadow.confirmed.size === 0) return;
  const pages = await Promise.all(
    phones.map(async (context) => {
      await context.unrouteAll({ behavior: "ignoreErrors" });
      const page = await context.newPage();
      await page.goto(line.url + NO_SCRIPT);
      return page;
    }),
  );
  expect(await compared(shadow, pages, demo, eyes)).toMatchObject({ lost: [], doubled: [], seenByAnother: [], falselyStored: [] });
}

/** Signs in through the demo, over the connection. */
export async function enter(page: Page, demo: Demo, line: Pick<Line, "url">, who: Who): Promise<void> {
  await page.goto(demo.door(who).replace(demo.server.url, line.url));
  await page.getByRole("button", { name: /^Sign in as/ }).click();
  await expect(page.locator(".day").first()).toBeVisible();
}

/** Waits until the pages work without signal. */
export async function workerReady(page: Page): Promise<void> {
  await page.evaluate(async () => void (await navigator.serviceWorker.ready));
}

/** Starts the next session. */
export async function begin(page: Page): Promise<void> {
  const at = new URL(page.url());
  if (at.pathname + at.hash !== "/today") await page.goto("/today");
  await page.locator('.next a[href^="/record/"]').first().click();
  await page.locator("[data-before] button[type=submit]").click();
  await expect(page.locator('[data-part="rail"]')).toBeVisible();
}

/** A button of the rail, once a tap of it is not taken for the second half of the one before. */
export async function answerButton(page: Page, answer: string): Promise<Locator> {
  const button = page.locator(`[data-part="rail"] [data-answer="${answer}"]`).last();
  await expect(button).not.toHaveAttribute("data-just");
  return button;
}

/** Taps an answer and waits until the screen confirms it; the confirmation goes into the shadow. */
export async function tap(page: Page, shadow: Shadow, answer = "alone"): Promise<number> {
  const before = await page.locator("#said").textContent();
  await (await answerButton(page, answer)).click();
  await expect(page.locator("#said")).not.toHaveText(before ?? "");
  const n = Number(/Saved\. (\d+) of/.exec((await page.locator("#said").textContent()) ?? "")?.[1] ?? NaN);
  expect(n, "the tap was confirmed").toBeGreaterThan(0);
  const open = await openSession(page);
  if (open) shadow.note(open.id, n, open.doc.author);
  return n;
}

/** Answers until the session is complete. */
export async function toTheEnd(page: Page, shadow: Shadow): Promise<void> {
  await expect(page.locator('[data-part="rail"]').or(page.locator('[data-part="enough"]')).filter({ visible: true })).toBeVisible();
  while (await page.locator('[data-part="rail"]').isVisible()) await tap(page, shadow);
}

export async function finish(page: Page): Promise<void> {
  await page.locator("[data-finish]").click();
  await expect(page.locator('[data-part="done"]')).toBeVisible();
}

/** A whole session. */
export async function session(page: Page, shadow: Shadow): Promise<void> {
  await begin(page);
  await toTheEnd(page, shadow);
  await finish(page);
}

/** The page's text after a session. */
export const where = (page: Page) => page.locator('[data-part="done"] [data-kept]');
