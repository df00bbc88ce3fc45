import type { BrowserContextOptions, Page } from "@playwright/test";
import { test as base } from "./markup";
import { gallery } from "./paths";
import { startNewel, type NewelServer } from "./server";
import { serveFolder, type StaticServer } from "./static";

/** People one can be in the invented clinic, by the last part of the link that signs in. */
export type Who = "supervisor" | "tomas" | "caregiver" | "orla" | "cian" | "lubna" | "sami" | "temi" | "andreu" | "office" | "trainee" | "nobody";

/** The one page of a worker on which this person only looks. */
type Shared = (who: Who) => Promise<Page>;

type Kept = Exclude<BrowserContextOptions["storageState"], string | undefined>;

/** The invented clinic of one worker; sign-ins are reused. */
export class Demo {
  private readonly kept = new Map<Who, Promise<Kept>>();

  constructor(
    readonly server: NewelServer,
    private readonly sign: (door: string) => Promise<Kept>,
  ) {}

  /** The link that signs in as this person. */
  door(who: Who): string {
    const printed = [...this.server.log().matchAll(new RegExp(`${this.server.url}/demo/\\w+/${who}\\b`, "g"))];
    const latest = printed.at(-1); // each start prints new links
    if (!latest) throw new Error(`no link for ${who} was printed:\n${this.server.log()}`);
    return latest[0];
  }

  /** The browser state of a signed-in person. */
  state(who: Who): Promise<Kept> {
    let state = this.kept.get(who);
    if (!state) {
      state = who === "nobody" ? Promise.resolve({ cookies: [], origins: [] }) : this.sign(this.door(who));
      this.kept.set(who, state);
    }
    return state;
  }
}

// Worker-scoped fixtures are declared here even for tests that need none of them: tests whose workers differ
// cannot share one, and each worker costs a browser and a start. A fixture that a test does not request is
// not created.
export const test = base.extend<{ be: (who: Who) => Promise<Page> }, { demo: Demo; folder: StaticServer; shared: Shared }>({
  folder: [
    async ({}, use) => {
      const server = await serveFolder(gallery);
      await use(server);
      await server.close();
    },
    { scope: "worker" },
  ],
  demo: [
    async ({ browser }, use) => {
      const server = await startNewel({ demo: true });
      const sign = async (door: string): Promise<Kept> => {
        const context = await browser.newContext();
        const page = await context.newPage();
        await page.goto(door);
        await page.getByRole("button", { name: /^Sign in as/ }).click();
        await page.waitForURL((url) => !url.pathname.startsWith("/demo/"));
        const state = await context.storageState();
        await context.close();
        return state;
      };
      await use(new Demo(server, sign));
      await server.stop();
    },
    { scope: "worker" },
  ],
  // One page for each person and worker, light on the phone and dark on the laptop: tests that only look at
  // pages share it, because a browser context for each would cost more than the looking.
  shared: [
    async ({ browser, demo }, use, info) => {
      const { viewport, isMobile, hasTouch, locale } = info.project.use;
      const open = new Map<Who, Promise<Page>>();
      const begin = async (who: Who): Promise<Page> => {
        const context = await browser.newContext({
          ...(viewport === undefined ? {} : { viewport }),
          isMobile: isMobile ?? false,
          hasTouch: hasTouch ?? false,
          locale: locale ?? "en-GB",
          colorScheme: info.project.name === "laptop" ? "dark" : "light",
          reducedMotion: "reduce",
          baseURL: demo.server.url,
          storageState: await demo.state(who),
        });
        return context.newPage();
      };
      await use((who) => {
        const page = open.get(who) ?? begin(who);
        open.set(who, page);
        return page;
      });
      for (const page of open.values()) await (await page).context().close();
    },
    { scope: "worker" },
  ],
  // A page of the project's size with a person signed in; addresses may omit the host.
  be: async ({ browser, demo, contextOptions, viewport, isMobile, hasTouch, colorScheme }, use) => {
    const open: { close(): Promise<void> }[] = [];
    await use(async (who) => {
      const context = await browser.newContext({
        ...contextOptions,
        viewport,
        isMobile,
        hasTouch,
        colorScheme,
        baseURL: demo.server.url,
        storageState: await demo.state(who),
        serviceWorkers: "block", // these tests make up responses, which a worker would hide
      });
      open.push(context);
      return context.newPage();
    });
    for (const context of open) await context.close();
  },
});
